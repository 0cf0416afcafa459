"""Rules about axes, motors and shapers."""
