"""The one door to git, and what comes through it: staged and committed files, commits."""
