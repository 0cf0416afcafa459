"""Currents that a motor's driver cannot give."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.facts.drivers import amperes, run_current
from cfgaudit.facts.fact import fact_name
from cfgaudit.machine.model import Meaning
from cfgaudit.machine.pieces import split_words
from cfgaudit.physics.drivers import peak_current
from cfgaudit.syntax.document import Place

PEAK, EFFECTIVE = frozenset({"peak"}), frozenset({"rms", "effective"})
"""Words of a setting's name that say which current it is; without one it may be either."""


@check("current-beyond-driver")
def current_beyond_driver(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """More than the sense resistor and the chip allow.

    Where nothing says whether the RMS or the peak value is meant, what the peak would still allow is only a
    warning.
    """
    seen: set[Place] = set()
    for driver in subject.machine.kind("driver"):
        ceiling = subject.facts.get(fact_name(driver, "current_ceiling"))
        run = run_current(subject.machine, driver)
        current = amperes(run) if run is not None else None
        if ceiling is None or run is None or current is None or run.place in seen:
            continue
        assert isinstance(ceiling.value, float)
        seen.add(run.place)
        most, sure = _most(run, ceiling.value)
        slack = 1.0 + number(limits, "rounding")
        if current <= most * slack:
            continue
        resistor, peak = ceiling.origin[0], peak_current(ceiling.value)
        place, related = at_later(subject.tree, run.place, resistor.place)
        yield Problem(
            place,
            f"{driver.title} is to run with {format_amount(current, 'A')}, but with a sense resistor of "
            f"{format_amount(resistor.amount or 0.0, 'Ω')} its chip gives at most "
            f"{format_amount(ceiling.value, 'A')} RMS, {format_amount(peak, 'A')} peak",
            subject=driver.title,
            related=related,
            severity=None if sure or current > peak_current(most) * slack else Severity.WARNING,
        )


def _most(run: Meaning, ceiling: float) -> tuple[float, bool]:
    """What the setting may be at most, in A, and whether its name says which current it is."""
    said = set(split_words(run.setting.name))
    if said & PEAK:
        return peak_current(ceiling), True
    return ceiling, bool(said & EFFECTIVE)
