"""Records of measurements: read, written, and whether they still hold."""
