"""What shakes, at which frequency, and which shaper suits it."""
