"""Rules that hold measurements against the configuration."""
