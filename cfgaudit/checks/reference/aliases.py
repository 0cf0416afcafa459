"""Aliases that say two things."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Alias
from cfgaudit.tree.names import fold_name

NUMBERED = re.compile(r"(?P<letters>[a-z]+)[\W_]*(?P<digits>\d[\d\W_]*)", re.IGNORECASE)


@check("alias-clash")
def alias_clash(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """One name for two pins, or a name that is itself a pin's."""
    first: dict[tuple[str, str], Alias] = {}
    for alias in subject.machine.aliases:
        other = first.setdefault((alias.board, alias.key), alias)
        if _target(other) != _target(alias):
            place, related = at_later(subject.tree, alias.place, other.place)
            yield Problem(
                place,
                f"{alias.name} is {other.pin.name} and {alias.pin.name}",
                subject=alias.name,
                related=related,
            )
        elif _hides_pin(alias):
            yield Problem(
                alias.place,
                f"{alias.name} stands for {alias.pin.name}, but is the name of another pin of the chip",
                subject=alias.name,
            )


def _target(alias: Alias) -> tuple[str, str]:
    return fold_name(alias.pin.board or ""), alias.pin.key


def _hides_pin(alias: Alias) -> bool:
    """Whether the name is written as this very chip writes pins: ``PA1 = PB2``, ``gpio3 = gpio4``.

    A name of another family (``D7 = PB4``, ``AD0 = PC1``) is what the board's maker printed on it.
    """
    name, pin = NUMBERED.fullmatch(alias.name), NUMBERED.fullmatch(alias.pin.name)
    return (
        name is not None
        and pin is not None
        and alias.pin.on_chip
        and alias.key != alias.pin.key
        and _family(name["letters"]) == _family(pin["letters"])
        and ("." in name["digits"]) == ("." in pin["digits"])
    )


def _family(letters: str) -> str:
    """``p_`` for the ports PA, PB, …; the letters themselves for gpio and the like."""
    folded = letters.casefold()
    return f"{folded[0]}_" if len(folded) == 2 and folded[0] == "p" else folded
