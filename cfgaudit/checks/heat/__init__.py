"""Rules about heaters, sensors, guards and fans."""
