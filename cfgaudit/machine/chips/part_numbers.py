"""Makers' part numbers: found in texts, and matched with the part numbers that a table has."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable

MAKERS = (
    *("stm32", "gd32", "apm32", "at32", "ch32", "hc32", "nrf5", "rp2", "esp32", "esp8266", "lpc"),
    *("atmega", "attiny", "atxmega", "at90", "atsam", "sam"),
)
"""How microcontrollers' part numbers begin, by their makers' catalogues (from memory)."""
DIGITS = 2
"""Every part number has at least so many."""

OPEN = "x"
"""Makers write it for a place of the part number that may be anything."""
SHORTEST = 6
LONGEST = 40
_WORD = re.compile(r"[a-zA-Z0-9]+")
REEL = "tr"
"""Behind a part number: delivered on tape and reel."""


def part_numbers(text: str) -> tuple[str, ...]:
    """Every word of a text that can only be a microcontroller's part number."""
    return tuple(word for word in _WORD.findall(text) if _is_part(word.casefold()))


def _is_part(word: str) -> bool:
    return word.startswith(MAKERS) and len(word) >= SHORTEST and sum(map(str.isdigit, word)) >= DIGITS


def fold_part(name: str) -> str:
    """Letters and digits in lower case; the maker's old prefix and the mark of tape and reel left out."""
    folded = "".join(letter for letter in name.casefold() if letter.isascii() and letter.isalnum())
    folded = folded.removeprefix("at") if folded.startswith("atsam") else folded
    bare = folded.removesuffix(REEL)
    return bare if bare[-1:].isdigit() else folded


def is_part_number(folded: str) -> bool:
    """Whether a folded name says enough to mean one line of chips."""
    return SHORTEST <= len(folded) <= LONGEST and any(map(str.isdigit, folded.removeprefix("stm32")))


def members(wanted: str, parts: Iterable[str]) -> tuple[str, ...]:
    """The parts that a folded name stands for.

    Parts are written as the table does, with ``-`` before the package and ``@`` before a core. A name that
    ends between two digits of a part's number does not mean that part (``stm32f4``, ``stm32f407``).
    """
    table = list(parts)
    exact = tuple(part for part in table if wanted in _forms(part))
    if exact:
        return exact
    short = wanted.rstrip(OPEN) if len(wanted) > SHORTEST else wanted
    exact = tuple(part for part in table if short in _forms(part))
    return exact or tuple(part for part in table if _begins(_whole(part), short))


def _whole(part: str) -> str:
    return part.partition("@")[0].replace("-", "")


def _forms(part: str) -> Collection[str]:
    """All of the part number, and what stands before the package."""
    return {_whole(part), part.partition("@")[0].partition("-")[0]} if "-" in part else {_whole(part)}


def _begins(part: str, short: str) -> bool:
    if len(short) >= len(part) or (short[-1:].isdigit() and part[len(short)].isdigit()):
        return False
    return all(
        one == other or (one == OPEN and at >= SHORTEST)
        for at, (one, other) in enumerate(zip(short, part, strict=False))
    )


def shown_part(name: str) -> str:
    """A part number as its maker prints it: ``STM32F407VGT6``, ``ATmega2560``, ``nRF52840``."""
    upper = name.partition("@")[0].upper()
    for maker in ("ATmega", "ATtiny", "nRF"):
        if upper.startswith(maker.upper()):
            upper = maker + upper[len(maker) :]
    return re.sub(r"(?<=.{6})X", OPEN, upper)
