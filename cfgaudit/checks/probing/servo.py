"""Servos that are told what they cannot do."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.machine.model import Meaning
from cfgaudit.syntax.value import Dimension, Number, numbers

LONGEST_IN_SECONDS, LONGEST_IN_MILLISECONDS = 0.05, 50.0
"""A bare pulse up to the first counts in s, up to the second in ms, above in µs: whatever the scale, a pulse
that makes sense is about one millisecond long, so the three ranges lie far apart."""


@check("pulse-out-of-range")
def pulse_out_of_range(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A pulse that drives a hobby servo against its stop, or that it does not understand."""
    low, high = number(limits, "shortest"), number(limits, "longest")
    for servo in subject.machine.kind("servo"):
        for meaning in (*servo.all("pulse.min"), *servo.all("pulse.max")):
            seconds = pulse_seconds(meaning)
            if seconds and not low <= round(seconds, 9) <= high:
                yield Problem(
                    meaning.place,
                    f"{servo.title} gets pulses of {_ms(seconds)}; "
                    f"servos understand {format_amount(low * 1e3)} to {_ms(high)}",
                    subject=f"{servo.title} {meaning.role}",
                )


@check("pulse-inverted")
def pulse_inverted(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """The shortest pulse is longer than the longest."""
    for servo in subject.machine.kind("servo"):
        low, high = servo.get("pulse.min"), servo.get("pulse.max")
        shortest = pulse_seconds(low) if low is not None else None
        longest = pulse_seconds(high) if high is not None else None
        if low is None or high is None or shortest is None or longest is None or shortest <= longest:
            continue
        place, related = at_later(subject.tree, low.place, high.place)
        yield Problem(
            place,
            f"{servo.title}: the shortest pulse, {_ms(shortest)}, is longer than the longest, {_ms(longest)}",
            subject=servo.title,
            related=related,
        )


@check("angle-outside")
def angle_outside(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A position beyond the servo's whole turn. Below zero may mean "off"."""
    for servo in subject.machine.kind("servo"):
        top = servo.get("angle.max")
        if top is None or top.amount is None or not _is_angle(top) or top.amount <= 0:
            continue
        for meaning in servo.all("angle.start"):
            beyond = [angle for angle in numbers(meaning.value) if angle > top.amount]
            if beyond and meaning.fits:
                yield Problem(
                    meaning.place,
                    f"{servo.title} is sent to {format_amount(max(beyond), '°')}, but turns no further than "
                    f"{format_amount(top.amount, '°')}",
                    subject=f"{servo.title} {meaning.setting.key}",
                    related=(top.place,),
                )


def pulse_seconds(meaning: Meaning) -> float | None:
    """The length of a pulse in seconds: by its unit, else by its magnitude."""
    value = meaning.value
    if meaning.amount is None or not isinstance(value, Number):
        return None
    if value.dimension is Dimension.TIME:
        return value.amount
    if value.dimension is not Dimension.NONE:
        return None
    if abs(value.amount) <= LONGEST_IN_SECONDS:
        return value.amount
    return value.amount * (1e-3 if abs(value.amount) <= LONGEST_IN_MILLISECONDS else 1e-6)


def _is_angle(meaning: Meaning) -> bool:
    return isinstance(meaning.value, Number) and meaning.value.dimension in (Dimension.NONE, Dimension.ANGLE)


def _ms(seconds: float) -> str:
    return format_amount(seconds * 1e3, "ms")
