"""Texts that somebody was meant to replace."""

from __future__ import annotations

import re
from functools import lru_cache

WHOLE = re.compile(
    r"""
      (?:change|replace|fill|edit|set|insert|put|enter)[\s_-]*(?:me|this|in|here)(?:[\s_-]*(?:in|here))?
    | (?:insert|put|enter|paste|write|fill\ in|add)[\s_-].*[\s_-]here
    | (?:your|my)[\s_-].*[\s_-]here
    | your[\s_-].+
    | to[\s_-]be[\s_-](?:done|defined|determined|filled[\s_-]in)
    | to[\s_-]?do | fix[\s_-]?me | tbd | placeholder
    | x{3,} | \?+ | _{3,} | \.{3,} | …
    """,
    re.IGNORECASE | re.VERBOSE,
)
ANGLED = re.compile(r"<\s*([^<>%]+?)\s*>")
RAIL = re.compile(
    r"""
    [+-]?\d+(?:[.,]\d+)?\s*v\d* | \d+v\d+ | [+-]?v(?:\d\S*|[a-z]{2,5})? | [adp]?gnd\d* | ground
    | nc | n/?c | none | reset | rst | earth | pe | n\.c\.
    """,
    re.IGNORECASE | re.VERBOSE,
)
GAP = re.compile(r"(?<![^\W_])[xX]{4,}(?![^\W_])|<your[^<>]*>|<[^<>]*here>")


@lru_cache(maxsize=8192)
def is_placeholder(text: str) -> bool:
    """Whether a value was left for somebody to fill in: ``CHANGE_ME``, ``<pin>``, ``xxx``, ``TODO``, ``???``.

    Never a supply rail in angle brackets (``<GND>``, ``<5V>``), which names a contact without a pin, and
    never a template's placeholder.
    """
    text = text.strip().strip("\"'")
    if "\n" in text:
        return False
    if WHOLE.fullmatch(text) or GAP.search(text):
        return True
    angled = ANGLED.fullmatch(text)
    return angled is not None and not RAIL.fullmatch(angled[1])
