"""A heater as measured, with what that says of its guards and its regulator as they are configured."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import NamedTuple

from cfgaudit.evidence.heating.guarding import (
    FULL_OUTPUT,
    FULL_OUTPUT_ASSUMED,
    MeasuredHeater,
    Watched,
    Watching,
    watch,
)
from cfgaudit.evidence.heating.heater_fit import HeaterFit
from cfgaudit.evidence.heating.heatup import HeatUp
from cfgaudit.evidence.heating.regulator import Calming, Gains, Margins, Plant, calming, margins, skogestad
from cfgaudit.evidence.records.record import Result, as_kept

OUTPUTS = (1.0, 100.0, 255.0)
"""What full power may be as a number that a regulator puts out: a share, per cent, a byte."""
ASSUMED_OUTPUT = 255.0
"""Where the builder does not say it. No file tells; it is never assumed without a word."""
SURPLUS = 0.01
"""By how much a recorded duty may be above the configured one and still count as within it."""


class Configured(NamedTuple):
    """How a heater is set. ``limit`` in °C; ``gains`` as written; ``duty`` the most that may be given."""

    watching: tuple[Watching, ...] = ()
    limit: float | None = None
    gains: Gains | None = None
    duty: float | None = None


class Regulation(NamedTuple):
    """A regulator held against the model. Gains are in the units of the file."""

    full_output: float
    stated: bool
    """Whether the builder said what full power is; else it is assumed."""
    gains: Gains | None
    margins: Margins | None
    others: tuple[tuple[float, Margins], ...]
    """The margins if full power were another number."""
    ideal: Margins | None
    """The margins if I and D were the times of an ideal regulator."""
    calming: Calming | None
    """What would bring gains that are too large to rest."""
    suggested: Gains
    """PI after Skogestad."""
    suggested_margins: Margins
    closed_loop: float
    """s, τ_c of these: the dead time, or a sample where that is longer."""


class Heated(NamedTuple):
    """All that a heat-up says of one heater."""

    title: str
    run: HeatUp
    fit: HeaterFit
    heater: MeasuredHeater
    limit: float | None
    watched: tuple[Watched, ...]
    regulation: Regulation
    notes: tuple[str, ...]

    @property
    def doubts(self) -> tuple[str, ...]:
        """What speaks against the results, each as one clause."""
        rough = f"a heater of first order is off by {self.fit.worst:.2g} K at the worst"
        gap = f"samples are missing for {self.run.gap:.3g} s, longer than the dead time"
        both = ((rough, self.fit.rough), (gap, self.is_torn))
        return tuple(told for told, holds in both if holds)

    @property
    def is_torn(self) -> bool:
        """Whether so long a gap is in the run that the heater may have answered to what nobody saw."""
        return self.run.gap > self.fit.plant.dead_time


def judge(
    title: str, run: HeatUp, fit: HeaterFit, configured: Configured, full_output: float | None = None
) -> Heated:
    """A fitted heater called ``title``, held against how it is configured.

    ``full_output`` is what the regulator puts out for full power; None where the builder does not say it.
    """
    full, notes = _full_duty(fit, configured.duty)
    heater = MeasuredHeater(fit.plant, fit.ambient, fit.top, full)
    if fit.rough:
        notes += (
            f"a heater of first order explains this run roughly only, it is off by {fit.worst:.2g} K at the "
            "worst: take margins and settings for hints, or record a plain heat-up, with fans as in use and "
            "the duty that was really given",
        )
    if fit.short:
        notes += (
            "the run ends long before the heater comes to rest, so its gain and time constant are known "
            "together only: what is said of temperatures beyond those measured is rough",
        )
    return Heated(
        title,
        run,
        fit,
        heater,
        configured.limit,
        tuple(watch(heater, one, configured.limit) for one in configured.watching),
        _regulation(fit.plant, run.step, configured.gains, full_output),
        (*run.notes, *notes),
    )


def _full_duty(fit: HeaterFit, duty: float | None) -> tuple[float, tuple[str, ...]]:
    """The largest duty that the heater may get, as a share in the recording's terms."""
    if duty is None or not 0 < duty < 1:
        return 1.0, ()
    if fit.full > duty + SURPLUS:
        return 1.0, (
            f"the recording's duty goes to {100 * fit.full:.0f} %, the configured limit is "
            f"{100 * duty:.0f} %: it is taken as a share of what is allowed",
        )
    return duty, ()


def _regulation(plant: Plant, step: float, gains: Gains | None, full_output: float | None) -> Regulation:
    output = ASSUMED_OUTPUT if full_output is None else full_output
    # a dead time shorter than a sample is one that nobody has seen
    seen = plant._replace(dead_time=max(plant.dead_time, step))
    rule = skogestad(seen)
    others = (
        ()
        if gains is None
        else tuple((one, margins(plant, gains.of(one))) for one in OUTPUTS if one != output)
    )
    return Regulation(
        output,
        full_output is not None,
        gains,
        None if gains is None else margins(plant, gains.of(output)),
        others,
        None if gains is None else margins(plant, gains.as_times().of(output)),
        None if gains is None else calming(plant, gains.of(output)),
        rule.of(1.0 / output),
        margins(plant, rule),
        seen.dead_time,
    )


def heatup_results(found: Heated) -> tuple[Result, ...]:
    """What of it is kept: enough to hold other settings against the heater later."""
    plant, fit, heater = found.fit.plant, found.fit, found.heater
    results = [
        Result("gain", as_kept(plant.gain), "K"),
        Result("time constant", as_kept(plant.time_constant), "s"),
        Result("dead time", as_kept(plant.dead_time), "s"),
        Result("rise at top", as_kept(heater.rate(heater.top)), "K/s"),
        Result("ambient", round(fit.ambient, 1), "°C"),
        Result("top", round(fit.top, 1), "°C"),
        Result("full duty", as_kept(heater.full), "1"),
        Result("residual", as_kept(fit.residual), "K"),
    ]
    regulation = found.regulation
    if regulation.margins is not None:
        results += _margin_results(regulation.margins)
        name = FULL_OUTPUT if regulation.stated else FULL_OUTPUT_ASSUMED
        results.append(Result(name, as_kept(regulation.full_output), "1"))
    return tuple(results)


def _margin_results(found: Margins) -> Sequence[Result]:
    """Margins that are infinite cannot be kept, and need not be."""
    named = (("gain margin", found.gain, "1"), ("phase margin", found.phase, "deg"))
    return [Result(name, as_kept(value), unit) for name, value, unit in named if isfinite(value)]
