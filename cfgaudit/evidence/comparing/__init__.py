"""Measurements before and after, and whether they differ."""
