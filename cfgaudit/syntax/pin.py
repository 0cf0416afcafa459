"""Pins, as ``grammar/pin.lark`` reads them."""

from __future__ import annotations

from typing import NamedTuple


class Pin(NamedTuple):
    """A pin as written. ``PB_12``, ``pb12`` and ``PB12`` have one ``key``; so have ``gpio4``, ``GPIO4``."""

    board: str | None
    """What stands before the separator or after ``@``, as written."""
    name: str
    """The pin or alias as written."""
    key: str
    """``name`` for comparing."""
    on_chip: bool
    """Written as chip makers write pins; else it can only be an alias, or a virtual pin of a part."""
    marks: str = ""
    """The run of punctuation before it."""
    words: tuple[str, ...] = ()
    """The words after it: ``inverted``, ``pull-up`` …"""
