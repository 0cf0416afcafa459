"""How second-order modes answer over frequency, and how the answer changes with their parameters.

A mode answers with H(r) = rⁿ ÷ (1 − r² + 2jζr), r = f ÷ f₀. The lean n is 0 if the signal follows the
position of what rings, 1 its speed, 2 its acceleration; and more or less if what shakes it grows or fades
with frequency: a sweep that takes as long for every octave shakes with a power that goes with 1 ÷ f, which
takes ½ away. What rides on what is shaken, 1 + 2jζr instead of rⁿ, leans a little. So n need be no whole
number, and it is not known beforehand. Modes that one excitation drives add up with their phases, modes of
several excitations with their powers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from numpy import ndarray

Signs = tuple[float, ...] | None
"""How modes add up: with these signs of their phases; None where their powers add up."""


class Response(NamedTuple):
    """One mode: Hz, damping ratio, and the strength by which its response is multiplied, squared."""

    frequency: float
    damping: float
    strength: float


class Answer(NamedTuple):
    """A mode over frequencies, complex: H(r) times the root of its strength, and the slopes of that by the
    logarithms of frequency, damping and strength, and by the lean."""

    whole: ndarray
    slopes: tuple[ndarray, ndarray, ndarray]
    by_lean: ndarray


def all_signs(modes: int) -> Iterator[Signs]:
    """Every way in which so many modes may add up."""
    for rest in product((1.0, -1.0), repeat=modes - 1):
        yield (1.0, *rest)
    if modes > 1:
        yield None


def answer_of(frequencies: ndarray, response: Response, lean: float) -> Answer:
    """One mode over frequencies in Hz, all above 0."""
    import numpy

    ratio = frequencies / response.frequency
    swing = 2j * response.damping * ratio
    below, below_slope = 1.0 - ratio**2 + swing, swing - 2.0 * ratio**2
    whole = response.strength**0.5 * ratio**lean / below
    by_frequency = whole * (below_slope / below - lean)
    return Answer(whole, (by_frequency, -whole * swing / below, whole / 2.0), whole * numpy.log(ratio))


def power(frequencies: ndarray, response: Response, lean: float) -> ndarray:
    """The density of one mode alone."""
    found: ndarray = abs(answer_of(frequencies, response, lean).whole) ** 2
    return found


def density_of(answers: Sequence[Answer], signs: Signs) -> ndarray:
    """The density of several modes together."""
    if signs is None:
        return _sum([abs(one.whole) ** 2 for one in answers])
    found: ndarray = abs(_sum(_signed(answers, signs))) ** 2
    return found


def density_slopes(answers: Sequence[Answer], signs: Signs) -> Iterator[ndarray]:
    """How that density changes with the logarithms of each mode's frequency, damping and strength, and last
    with the lean of all."""
    together = None if signs is None else _sum(_signed(answers, signs))
    leaning = []
    for answer, sign in zip(answers, signs or (1.0,) * len(answers), strict=True):
        against = 2.0 * (answer.whole if together is None else sign * together).conjugate()
        for slope in answer.slopes:
            yield (against * slope).real
        leaning.append((against * answer.by_lean).real)
    yield _sum(leaning)


def _signed(answers: Sequence[Answer], signs: Sequence[float]) -> list[ndarray]:
    return [sign * one.whole for sign, one in zip(signs, answers, strict=True)]


def _sum(parts: Sequence[ndarray]) -> ndarray:
    found = parts[0]
    for part in parts[1:]:
        found = found + part
    return found
