"""fan-pwm-out-of-range: fans of four wires at a frequency that they are not made for."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number, numbers
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.machine.model import Meaning, Part
from cfgaudit.machine.pieces import split_words
from cfgaudit.syntax.value import Dimension, Number

FOUR, WIRES = ("4", "four"), ("wire", "wires")


@check("fan-pwm-out-of-range")
def fan_pwm_out_of_range(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A fan that must have four wires and gets pulses outside the range of the specification.

    That a fan has four wires is known where a setting says so, or from a tachometer beside a frequency of
    kilohertz: with two or three wires the supply itself is chopped, far slower.
    """
    low, high = numbers(limits, "range")
    for fan in subject.machine.kind("fan"):
        stated = fan.get("pwm.frequency")
        frequency = _hertz(stated, number(limits, "four_wires_from"))
        if stated is None or frequency is None or low <= frequency <= high:
            continue
        fast = frequency >= number(limits, "four_wires_from") and fan.get("pin.tach") is not None
        if fast or _says_four(fan):
            yield Problem(
                stated.place,
                f"{fan.title} gets pulses of {_kilohertz(frequency)}, but fans of four wires take "
                f"{_kilohertz(low)} to {_kilohertz(high)}",
                subject=fan.title,
            )


def _hertz(stated: Meaning | None, clear_from: float) -> float | None:
    """The frequency; None for a bare number that may count kilohertz."""
    amount = stated.amount if stated is not None else None
    if stated is None or amount is None or amount <= 0 or not isinstance(stated.value, Number):
        return None
    bare = stated.value.dimension is Dimension.NONE
    return None if bare and amount < clear_from else amount


def _says_four(fan: Part) -> bool:
    """Whether a setting of the section says four wires: ``wires = 4``, ``kind = 4-wire``, ``four wires``."""
    return any(
        _four_wires(split_words(one.value))
        or (split_words(one.name)[-1:] == ("wires",) and one.value.strip().casefold() in FOUR)
        for one in fan.section.settings
    )


def _four_wires(spoken: tuple[str, ...]) -> bool:
    wanted = {(number, wire) for number in FOUR for wire in WIRES}
    joined = {f"{number}{wire}" for number, wire in wanted}
    return not wanted.isdisjoint(pairwise(spoken)) or not joined.isdisjoint(spoken)


def _kilohertz(hertz: float) -> str:
    return format_amount(hertz / 1000.0, "kHz") if hertz >= 1000.0 else format_amount(hertz, "Hz")
