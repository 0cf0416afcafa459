"""Whether a text may be the name of a part at all."""

from __future__ import annotations

import re

from cfgaudit.machine.pieces import split_words
from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.tree.names import fold_name

ABSENT = frozenset({"", "none", "no", "null", "nil", "off", "na", "nothing", "false", "unused", "disabled"})
EVERY = frozenset({"all", "any", "every", "both", "each", "*"})
OPTIONS = frozenset(
    "yes true on auto automatic default custom manual normal generic standard internal external builtin"
    " onboard integrated virtual high low up down left right front back rear open closed analog digital"
    " always never printing print job idle busy ready boot startup host usb can serial spi temperature"
    " speed power".split()
)
"""Words that choose a way of working; no part is missing where only such words stand."""
TYPES = frozenset(
    "ntc ptc rtd thermistor thermocouple diode infrared hall type kind model pid mpc hysteresis".split()
)
"""Words that choose a type of component or of control; no part is missing where any of them stands."""

PLAIN = re.compile(r"[^\W\d_][\w .:/\-]*")
MODEL = re.compile(r"[^\W\d_]+[-_ ]?\d{2,}\w*|\w*\d+[^\W\d_]\w*")
LONGEST_NAME = 3
"""In words."""


def is_absent(text: str) -> bool:
    """Whether a text says that there is none."""
    return text.strip() == "-" or fold_name(text) in ABSENT


def is_every(text: str) -> bool:
    """Whether a text means every part of the kind."""
    return fold_name(text) in EVERY


def is_plain_name(text: str, longest: int = LONGEST_NAME) -> bool:
    """Whether a text looks like a name: a few words that begin with a letter, no pin, no option.

    ``longest``: how many words it may have.
    """
    words = split_words(text)
    return (
        PLAIN.fullmatch(text) is not None
        and len(words) <= longest
        and not all(word in OPTIONS for word in words)
        and not any(word in TYPES for word in words)
        and not is_every(text)
        and not is_chip_pin(text)
    )


def is_model_like(text: str) -> bool:
    """Whether a text looks like the type of a chip or component: letters, then a long number, or mixed."""
    return MODEL.fullmatch(text) is not None


def letters_of(text: str) -> str:
    """The letters alone: two types of one family differ in their digits."""
    return "".join(letter for letter in text.casefold() if letter.isalpha())


def is_option(text: str) -> bool:
    """Whether a text is one word that chooses a way of working."""
    folded = fold_name(text)
    return folded in OPTIONS or folded in TYPES
