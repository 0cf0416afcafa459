"""Machine to Facts, using physics. Entry function: `compute_facts`."""
