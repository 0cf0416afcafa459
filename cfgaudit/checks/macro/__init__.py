"""Rules about macros."""
