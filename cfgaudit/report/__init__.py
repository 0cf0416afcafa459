"""Findings, facts and what the stages made, as text and JSON.

Every module turns one value into lines, and into a mapping for JSON.
"""
