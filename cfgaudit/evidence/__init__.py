"""Measurements: what they say of the machine, and whether they still hold. Entry: `read.read_evidence`."""
