"""Documents and include directives to a ConfigTree with provenance. Entry function: `resolve`."""
