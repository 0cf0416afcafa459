"""Trade words to roles. Entry functions: `load_words` (trade.toml and overrides), `read_roles` (a tree)."""
