"""How second-order modes answer over frequency, and how the answer changes with their parameters.

A mode answers with H(r) = N(r) ÷ (1 − r² + 2jζr), r = f ÷ f₀, where N is −r² if the signal follows the
acceleration of what rings, jr its speed, 1 its position, and 1 + 2jζr if it rides on what is shaken. Modes
that one excitation drives add up with their phases, modes of several excitations with their powers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from numpy import ndarray

SHAPES = ("acceleration", "speed", "position", "carried")

Signs = tuple[float, ...] | None
"""How modes add up: with these signs of their phases; None where their powers add up."""


class Way(NamedTuple):
    """How modes answer, one of `SHAPES`, and how they add up."""

    shape: str
    signs: Signs


class Response(NamedTuple):
    """One mode: Hz, damping ratio, and the strength by which its response is multiplied, squared."""

    frequency: float
    damping: float
    strength: float


class Answer(NamedTuple):
    """A mode over frequencies, complex: H(r) times the root of its strength, and the slopes of that by the
    logarithms of frequency, damping and strength."""

    whole: ndarray
    slopes: tuple[ndarray, ndarray, ndarray]


def all_ways(modes: int) -> Iterator[Way]:
    """Every way in which so many modes may answer and add up."""
    for shape in SHAPES:
        for rest in product((1.0, -1.0), repeat=modes - 1):
            yield Way(shape, (1.0, *rest))
        if modes > 1:
            yield Way(shape, None)


def answer_of(frequencies: ndarray, response: Response, shape: str) -> Answer:
    """One mode over frequencies in Hz."""
    ratio = frequencies / response.frequency
    swing = 2j * response.damping * ratio
    root = response.strength**0.5
    above, above_slope = {
        "acceleration": (-(ratio**2), -2.0 * ratio**2),
        "speed": (1j * ratio, 1j * ratio),
        "position": (1.0, 0.0),
        "carried": (1.0 + swing, swing),
    }[shape]
    below, below_slope = 1.0 - ratio**2 + swing, swing - 2.0 * ratio**2
    whole = root * above / below
    by_frequency = (whole * below_slope - root * above_slope) / below
    by_damping = ((root * swing if shape == "carried" else 0.0) - whole * swing) / below
    return Answer(whole, (by_frequency, by_damping, whole / 2.0))


def power(frequencies: ndarray, response: Response, shape: str) -> ndarray:
    """The density of one mode alone."""
    found: ndarray = abs(answer_of(frequencies, response, shape).whole) ** 2
    return found


def density_of(answers: Sequence[Answer], signs: Signs) -> ndarray:
    """The density of several modes together."""
    if signs is None:
        return _sum([abs(one.whole) ** 2 for one in answers])
    found: ndarray = abs(_sum(_signed(answers, signs))) ** 2
    return found


def density_slopes(answers: Sequence[Answer], signs: Signs) -> Iterator[ndarray]:
    """How that density changes with the logarithms of each mode's frequency, damping and strength."""
    together = None if signs is None else _sum(_signed(answers, signs))
    for answer, sign in zip(answers, signs or (1.0,) * len(answers), strict=True):
        against = answer.whole if together is None else sign * together
        for slope in answer.slopes:
            yield 2.0 * (against.conjugate() * slope).real


def _signed(answers: Sequence[Answer], signs: Sequence[float]) -> list[ndarray]:
    return [sign * one.whole for sign, one in zip(signs, answers, strict=True)]


def _sum(parts: Sequence[ndarray]) -> ndarray:
    found = parts[0]
    for part in parts[1:]:
        found = found + part
    return found
