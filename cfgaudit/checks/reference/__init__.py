"""Rules about names that point to something."""
