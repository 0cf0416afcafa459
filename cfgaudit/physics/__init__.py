"""Formulas: pure functions on floats, each with its units and its source."""
