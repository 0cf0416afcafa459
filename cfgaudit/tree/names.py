"""How names compare."""

from __future__ import annotations

import re
from functools import lru_cache

QUOTED = re.compile(r"""(?<!\S)(["'])(.*?)\1(?!\S)""")
IGNORED = re.compile(r"""[\s_\-.:/"']+""")


@lru_cache(maxsize=16_384)
def fold_name(name: str) -> str:
    """The form in which two spellings of one name are equal: case, ``_ - . : /``, space, quotes ignored."""
    return IGNORED.sub("", name).casefold()


def unquoted(name: str) -> str:
    """A section's name with the quotes around its words taken out: ``fan "left"`` to ``fan left``."""
    return QUOTED.sub(r"\2", name).strip() or name
