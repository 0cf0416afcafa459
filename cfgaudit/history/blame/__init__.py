"""Which change is to blame for what a builder sees."""
