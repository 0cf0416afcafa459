"""Text to Pin, with ``grammar/pin.lark``."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Any, Literal

from cfgaudit.syntax.grammars import load_parser
from cfgaudit.syntax.pin import Pin

if TYPE_CHECKING:
    from lark import Token

REMEMBERED = 8192
"""Distinct texts kept: more than a large machine has values."""

LONGEST = 120
"""No pin with its board, marks and words takes more characters."""

Reading = tuple[Pin, bool] | Literal["rail", "absent"] | None
"""A pin and whether the text can be nothing else, or what stands in a pin's place."""

LETTERS_AND_NUMBER = re.compile(r"[a-z][_. ]?[0-9]", re.IGNORECASE)
"""In every notation that is sure: most values have none and need no parsing."""

RUN = re.compile(r"[^\W\d_]+|[0-9]+")
APART = re.compile(r"[\W_]+")
FRINGE = " \t,()[]@.:/"
"""What the grammar's terminals hold besides the board or the word itself."""


def read_pin(text: str) -> Pin | None:
    """The pin that a text names where a pin is expected; None if it can be none.

    Short names (``A0``, ``D7``) and bare numbers count as the chip's, so look for an alias of that name
    first. Numbers with a sign, a fraction or a unit, supply rails and ``none`` are no pins.
    """
    reading = _read(text)
    return reading[0] if isinstance(reading, tuple) else None


def is_chip_pin(text: str) -> bool:
    """Whether a text can only be a chip's pin, wherever it stands: ``PA3``, ``main.PB10``, ``!D7``.

    Bare numbers never are; ``A4``, ``pc1`` and ``PA6`` (a plastic) are with a board or a mark.
    """
    if len(text) > LONGEST or LETTERS_AND_NUMBER.search(text) is None:
        return False
    reading = _read(text)
    return isinstance(reading, tuple) and reading[1]


def is_rail(text: str) -> bool:
    """Whether a text names a supply, or another line that is no chip's pin: ``<GND>``, ``<5V>``, ``VCC``."""
    return _read(text) == "rail"


def is_absent(text: str) -> bool:
    """Whether a text says that no pin is connected: ``none``, ``unused``, ``n/a``, ``-1``."""
    return _read(text) == "absent"


@lru_cache(maxsize=REMEMBERED)
def _read(text: str) -> Reading:
    from lark.exceptions import UnexpectedInput

    if len(text) > LONGEST:
        return None
    text = text.strip()
    if len(text) > 1 and text[0] == text[-1] and text[0] in "\"'":
        text = text[1:-1].strip()
    try:
        reading: Reading = _parser()(text)
    except UnexpectedInput:
        return None
    return reading


@cache
def _parser() -> Callable[[str], Any]:
    return load_parser("pin", callbacks=_Callbacks())


class _Callbacks:
    """One method a rule of the grammar, called as the parser reduces."""

    def start(self, readings: list[Reading]) -> Reading:
        return readings[0]

    def pin(self, tokens: list[Token]) -> Reading:
        found: dict[str, list[str]] = {kind: [] for kind in ("MARKS", "BOARD", "WORD", "OTHER")}
        name, notation = "", ""
        for token in tokens:
            pieces = found.get("BOARD" if token.type == "AT" else token.type)
            if pieces is None:
                name, notation = token.rstrip(), token.type
            else:
                pieces.append(token.strip() if token.type == "MARKS" else token.strip(FRINGE))
        if len(found["BOARD"]) > 1:
            return None
        board = found["BOARD"][0] if found["BOARD"] else None
        marks, words = "".join(found["MARKS"]), tuple(found["WORD"] + found["OTHER"])
        key = _chip_key(name) if notation != "NAME" else APART.sub("", name).casefold()
        backed = bool(marks) or (board is not None and " " not in board)
        sure = notation == "SURE" or (notation not in ("NAME", "NUMBER") and backed)
        return Pin(board, name, key, notation != "NAME", marks, words), sure and not found["OTHER"]

    def alias(self, tokens: list[Token]) -> Token:
        """The words of a name as one token."""
        return tokens[0].update(value="".join(tokens))

    def rail(self, tokens: list[Token]) -> Reading:
        return "rail"

    def absent(self, tokens: list[Token]) -> Reading:
        return "absent"


def _chip_key(name: str) -> str:
    """Capitals, no separators, no leading zeros: PB12, P1_20, GPIO14; IO5 and GP5 are GPIO5."""
    runs = [str(int(run)) if run.isdigit() else run.upper() for run in RUN.findall(name)]
    if runs[0] in ("IO", "GP"):
        runs[0] = "GPIO"
    return re.sub(r"(?<=[0-9]) (?=[0-9])", "_", " ".join(runs)).replace(" ", "")
