"""Facts of a shaped axis: how long the shaper takes, what it rounds, and which frequencies it damps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from cfgaudit.facts.axes import ACCELERATION, axis_fact
from cfgaudit.facts.axis_limits import limit_of
from cfgaudit.facts.fact import Fact, Term, fact
from cfgaudit.facts.inputs import positive
from cfgaudit.machine.model import Axis, Machine, Meaning
from cfgaudit.physics import shaping
from cfgaudit.physics.shapers import SHAPERS, Impulses, impulses
from cfgaudit.syntax.value import Items, Number, Text, Value, numbers
from cfgaudit.tree.names import fold_name

PAIR = "xy"
"""The axes that a shaper of the whole machine serves, and the order of two values in one setting."""
LONG_NAMES = {
    "zerovibration": "ZV",
    "modifiedzerovibration": "MZV",
    "zerovibrationandderivative": "ZVD",
    "extrainsensitive": "EI",
}
HUMPS = {"twohump": "two-hump EI", "threehump": "three-hump EI"}


class AxisShaper(NamedTuple):
    """The shaper of one axis, as it is written; ``damping`` is 0 where none is stated."""

    kind: str
    frequency: float
    damping: float
    origin: tuple[Meaning, ...]

    @property
    def damping_is_written(self) -> bool:
        """Whether a ratio is stated; without one 0 stands for it."""
        return len(self.origin) > 2

    @property
    def impulses(self) -> Impulses:
        return impulses(self.kind, self.frequency, self.damping)

    @property
    def source(self) -> str:
        return f"{self.kind}: {SHAPERS[self.kind].source}"

    @property
    def spread_source(self) -> str:
        return f"σ² is the second central moment in time of the impulses. {self.source}"


@fact
def shapers(machine: Machine) -> Iterator[Fact]:
    """``axis.A.shaper_duration`` (s), ``shaper_rounding`` (mm), ``shaper_accel_ceiling``, ``shaper_band``."""
    for axis in machine.axes():
        shaper = shaper_of(axis)
        if shaper is not None:
            yield _duration(axis, shaper)
            yield from _rounding(axis, shaper)
            yield from _band(axis, shaper)


def shaper_of(axis: Axis) -> AxisShaper | None:
    """The shaper that serves an axis; None unless its kind is one that we know, and its frequency stated."""
    kind, frequency, damping = (_written(axis, f"shaper.{role}") for role in ("kind", "frequency", "damping"))
    if kind is None or frequency is None:
        return None
    name, hertz = _name(_share(kind, axis.letter)), _amount(_share(frequency, axis.letter))
    ratio = 0.0 if damping is None else _amount(_share(damping, axis.letter))
    if name is None or hertz is None or ratio is None or not hertz > 0 or not 0 <= ratio < 1:
        return None
    return AxisShaper(name, hertz, ratio, (kind, frequency, *((damping,) if damping is not None else ())))


def _written(axis: Axis, role: str) -> Meaning | None:
    """What is written for the axis, else for the whole machine: that shapes the two horizontal axes."""
    own = axis.own(role)
    if own is not None or axis.letter not in PAIR:
        return own
    machine = axis.machine
    of_axes = {id(part) for one in machine.axes() for part in one.parts()}
    common = (part for part in machine.kind("shaper", "motion") if id(part) not in of_axes)
    return next((one for part in common for one in part.all(role) if one.axis is None), None)


def _share(meaning: Meaning, letter: str) -> Value | None:
    """The value, or the axis's piece of two: x before y."""
    if not meaning.fits:
        return None
    if isinstance(meaning.value, Items):
        items: Sequence[Value] = meaning.value.items
        return items[PAIR.index(letter)] if len(items) == len(PAIR) and letter in PAIR else None
    return meaning.value


def _amount(value: Value | None) -> float | None:
    amounts = numbers(value) if isinstance(value, Number) else ()
    return amounts[0] if amounts else None


def _name(value: Value | None) -> str | None:
    """The trade's name of a kind, whatever its spelling; None for one that we cannot compute."""
    if not isinstance(value, Text):
        return None
    folded = fold_name(value.text)
    short = {fold_name(name): name for name in SHAPERS}
    if folded in short or folded in LONG_NAMES:
        return short.get(folded) or LONG_NAMES[folded]
    spelled = folded.replace("2", "two").replace("3", "three")
    return next((HUMPS[one] for one in HUMPS if spelled in (one, f"{one}ei", f"ei{one}")), None)


def _duration(axis: Axis, shaper: AxisShaper) -> Fact:
    design = SHAPERS[shaper.kind]
    periods = design.spacing * (len(design.weights) - 1)
    return axis_fact(
        axis,
        "shaper_duration",
        shaping.duration(shaper.impulses),
        "s",
        shaper.origin,
        "n ÷ (f × √(1 − ζ²))",
        source=shaper.source,
        terms=(Term("n", periods), Term("f", shaper.frequency, "Hz"), Term("ζ", shaper.damping)),
    )


def _rounding(axis: Axis, shaper: AxisShaper) -> Iterator[Fact]:
    moment = shaping.spread(shaper.impulses)
    spread = Term("σ²", moment * 1e6, "ms²")
    limit = limit_of(axis, "accel.max")
    acceleration = positive(limit)
    if limit is not None and acceleration is not None:
        yield axis_fact(
            axis,
            "shaper_rounding",
            shaping.rounding(acceleration, moment),
            "mm",
            (limit, *shaper.origin),
            "a × σ² ÷ 2",
            source=shaper.spread_source,
            terms=(Term("a", acceleration, ACCELERATION), spread),
        )
    yield axis_fact(
        axis,
        "shaper_accel_ceiling",
        shaping.acceleration_ceiling(moment),
        ACCELERATION,
        shaper.origin,
        "2 × δ ÷ σ²",
        source=shaper.spread_source,
        terms=(Term("δ", shaping.BUDGET, "mm"), spread),
        bounds=limit,
    )


def _band(axis: Axis, shaper: AxisShaper) -> Iterator[Fact]:
    band = shaping.tolerated_band(shaper.impulses, shaper.frequency, shaper.damping)
    if band is not None:
        yield axis_fact(
            axis,
            "shaper_band",
            band,
            "Hz",
            shaper.origin,
            "where at most 5 % of a vibration is left, around f",
            source=shaper.source,
            terms=(Term("f", shaper.frequency, "Hz"), Term("ζ", shaper.damping)),
        )
