"""Settings, facts and changes followed through all commits."""
