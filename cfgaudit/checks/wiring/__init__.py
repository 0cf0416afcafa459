"""Rules about pins."""
