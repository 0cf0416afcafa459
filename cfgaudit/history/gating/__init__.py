"""Whether anything new speaks against a restart."""
