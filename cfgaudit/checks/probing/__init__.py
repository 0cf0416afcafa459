"""Rules about probes and levelling."""
