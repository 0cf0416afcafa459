"""Two machines to changes: paired, compared, weighed, and what they come to."""
