"""Which way a meaning changed: raised, lowered, inverted, marked, changed, added or removed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from cfgaudit.history.comparing.pairing import Difference, Pairing
from cfgaudit.history.comparing.weights import Weights
from cfgaudit.machine.celsius import celsius
from cfgaudit.machine.forms import RATIOS, pin_words, ratio_of
from cfgaudit.machine.model import Meaning, PinUse
from cfgaudit.syntax.value import Number


def directions_of(one: Difference, pairing: Pairing, weights: Weights) -> Iterator[str]:
    """The ways in which a meaning changed; several where a pin is another and inverted as well."""
    if one.left is None or one.right is None:
        yield "added" if one.left is None else "removed"
    elif one.role.startswith("pin."):
        yield from _pin_directions(pairing.old.uses(one.left), pairing.new.uses(one.right), weights)
    else:
        yield _number_direction(one.role, amount_of(one.left), amount_of(one.right), weights)


def amount_of(meaning: Meaning | None) -> float | None:
    """The single number of a meaning in its base unit, of gears and microsteps what they come to."""
    if meaning is None:
        return None
    if meaning.role in RATIOS:
        return ratio_of(meaning.value, meaning.role)
    if meaning.role.startswith("temp."):
        return celsius(meaning)
    return meaning.amount if isinstance(meaning.value, Number) else None


def _number_direction(role: str, before: float | None, after: float | None, weights: Weights) -> str:
    """What nothing switches off counts as removed where it sinks to nothing."""
    if before is None or after is None or before == after:
        return "changed"
    if role in weights.off and after <= 0 < before:
        return "removed"
    return "raised" if after > before else "lowered"


def _pin_directions(old: Iterable[PinUse], new: Iterable[PinUse], weights: Weights) -> Iterator[str]:
    old, new = list(old), list(new)
    elsewhere = [(use.board, use.key) for use in old] != [(use.board, use.key) for use in new]
    inverted = [_is_inverted(use, weights) for use in old] != [_is_inverted(use, weights) for use in new]
    if inverted and old and new:
        yield "inverted"
    if elsewhere or not (old and new):
        yield "changed"
    elif not inverted:
        yield "marked"


def _is_inverted(use: PinUse, weights: Weights) -> bool:
    """An even number of marks and words is no inversion; those of the alias count, too."""
    count = 0
    for pin in [use.pin] if use.via is None else [use.pin, use.via.pin]:
        marks, words = pin_words(pin)
        count += sum(mark in weights.inverting_marks for mark in marks)
        count += any(word in weights.inverting_words for word in words)
    return count % 2 == 1
