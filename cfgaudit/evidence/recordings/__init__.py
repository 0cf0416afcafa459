"""What instruments write to evenly sampled numbers in base units."""
