"""Rules about buses and addresses."""
