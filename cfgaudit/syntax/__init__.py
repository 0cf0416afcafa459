"""Text to Document, and lossless edits of it.

Entry functions: `parse` (bytes to Document), `read_value`, `read_pin`, `read_macro` (the small languages
inside a value), `edited` (a document with edits made).
"""
