"""A probe's readings and how well they repeat."""
