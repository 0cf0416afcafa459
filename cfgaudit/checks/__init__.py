"""Rules. Entry functions: `load_rules` (cards and overrides), `run_rules` (Subject to Findings)."""
