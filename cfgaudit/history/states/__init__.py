"""The states of one machine's files, and the marks among them."""
