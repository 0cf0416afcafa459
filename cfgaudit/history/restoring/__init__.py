"""Changes undone in the files: planned, rechecked, written whole."""
