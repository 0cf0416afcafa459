"""pin-malformed: values that stand where a pin is asked for and can be none."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.pin_words import user_title
from cfgaudit.checks.placeholder_text import is_placeholder
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Machine, Meaning, PinUse
from cfgaudit.machine.parts import distinct_meanings
from cfgaudit.machine.pieces import split_words
from cfgaudit.nearest import NearNames
from cfgaudit.syntax.read_pin import is_absent, is_chip_pin, is_rail
from cfgaudit.syntax.value import Boolean, Opaque
from cfgaudit.tree.names import fold_name

BARE_BOARD = re.compile(r"\w+\s*[.:/@]")
PATH = re.compile(r"[~.]{0,2}/\w|\w+:[\\/]")
"""What begins like this is no slip in a pin: its word was misread."""
DIGITS = str.maketrans("OoIlL", "00111")
MISTYPED = re.compile(r"(gpio|GPIO|P[A-L])(?=.*[0-9])([0-9OoIlL]+)")
"""A pin with letters that are typed for digits."""
TOO_HIGH = re.compile(r"P[A-L][_.]?\d{3,}", re.IGNORECASE)
"""Port letter and a number of three digits: no maker's ports have more than 32 lines."""


@check("pin-malformed")
def pin_malformed(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A value that can be neither a chip's pin nor an alias.

    Among them names that no alias section defines, where one is near: any other name may be one that the
    firmware itself knows.
    """
    for part, meaning in distinct_meanings(subject.machine.parts):
        if meaning.role.startswith("pin.") and part.kind != "alias" and _is_no_pin(meaning):
            yield Problem(
                meaning.place,
                f"{part.title}: {meaning.setting.name} is {meaning.text.strip()}, "
                "which can be no pin and no alias",
                subject=f"{part.title} {meaning.role} {meaning.setting.key}",
            )
    yield from _names_of_nothing(subject.machine)


def _is_no_pin(meaning: Meaning) -> bool:
    text = meaning.text.strip().strip("\"'")
    if not text or not text.isascii() or isinstance(meaning.value, (Opaque, Boolean)):
        return False
    if is_absent(text) or is_rail(text) or is_placeholder(text) or PATH.match(text):
        return False
    return not meaning.fits or BARE_BOARD.fullmatch(text) is not None


def _names_of_nothing(machine: Machine) -> Iterator[Problem]:
    """Names of pins that no alias has, that look like a chip's pin or like an alias, and are neither."""
    names = {alias.key: alias.name for alias in machine.aliases}
    near_names = NearNames(names.values())
    taken = {fold_name(name) for part in machine.parts for name in (part.name, part.section.name)}
    taken.update(names)
    for pins in machine.pins.values():
        for key, uses in pins.items():
            suspects = [use for use in uses if _is_bare_name(use)]
            meant = _meant(suspects[0].pin.name, near_names) if suspects and key not in taken else None
            if meant is not None:
                yield from (_undefined(use, meant) for use in suspects)


def _is_bare_name(use: PinUse) -> bool:
    """No alias led to it, no part offers it, and it is not written as chip makers write pins."""
    name = use.pin.name
    plain = use.via is None and use.virtual is None and use.known_board
    return plain and not use.pin.on_chip and name.isascii() and not is_placeholder(name)


def _meant(name: str, aliases: NearNames) -> str | None:
    """What a name was to be: a pin with digits for letters, or an alias; ``""`` for too high a port."""
    mistyped = MISTYPED.fullmatch(name)
    if mistyped is not None and is_chip_pin(mistyped[1] + mistyped[2].translate(DIGITS)):
        return mistyped[1] + mistyped[2].translate(DIGITS)
    if TOO_HIGH.fullmatch(name):
        return ""
    near = aliases.nearest(name)
    return None if near is None or _is_sibling(name, near) else near


def _is_sibling(name: str, near: str) -> bool:
    """``fan1`` and ``fan2``, ``x-low`` and ``y-low``: names of two things, not one name mistyped."""
    return _stem(name) == _stem(near)


def _stem(name: str) -> list[str]:
    words = [word.rstrip("0123456789") for word in split_words(name)]
    return [word for word in words if len(word) > 1]


def _undefined(use: PinUse, meant: str) -> Problem:
    owner = user_title(use)
    return Problem(
        use.place,
        f"{owner}: {use.meaning.setting.name} is {use.pin.name}, which is no pin of a chip and no alias",
        subject=f"{owner} {use.meaning.role} {use.meaning.setting.key}",
        advice=f"Did you mean {meant}?" if meant else None,
    )
