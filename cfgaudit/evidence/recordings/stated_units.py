"""The unit that a header states: in brackets, or as its last word."""

from __future__ import annotations

import re

from cfgaudit.evidence.recordings.channels import BRACKETED

LAST_WORD = re.compile(r"(?:[\s_/.,-]|\bin\b)+([^\W\d_]+|°[cf]|%)$")
"""Of a header without brackets: ``temp_k``, ``height in mm``, ``temperature/°C``."""


def bracketed_unit(header: str) -> str:
    """What stands in brackets, ``mm`` of ``z (mm)``; empty where nothing does."""
    found = BRACKETED.search(header)
    return found[1] if found else ""


def last_word(header: str) -> str:
    """What may be a unit behind other words, in small letters: ``k`` of ``temp_K``; empty where none may."""
    found = LAST_WORD.search(header.casefold())
    return found[1] if found else ""
