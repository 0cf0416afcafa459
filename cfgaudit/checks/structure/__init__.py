"""Rules about how the files are written."""
