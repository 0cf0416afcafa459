"""How names compare."""

from __future__ import annotations

import re

IGNORED = re.compile(r"""[\s_\-.:/"']+""")


def fold_name(name: str) -> str:
    """The form in which two spellings of one name are equal: case, ``_ - . : /``, space, quotes ignored."""
    return IGNORED.sub("", name).casefold()
