"""A heat-up to a heater: first order plus dead time, by least squares."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.evidence.heating.heatup import HeatUp
from cfgaudit.evidence.heating.holding import RISEN
from cfgaudit.evidence.heating.regulator import Plant
from cfgaudit.evidence.recordings.columns import MeasurementError

if TYPE_CHECKING:
    from numpy import ndarray

UNEXPLAINED = 0.10
"""The share of the rise by which a run may be off, root of the mean square, before no heater explains it."""
ROUGH, ROUGH_AT_WORST = 0.02, 0.06
"""Shares of the rise, root of the mean square and the largest, from which on the fit is called rough (common
practice, no source)."""
UNEVEN, UNEVEN_FROM = 6.0, 3.0
"""Times the root of the mean square, and K: an error that large stands alone, and bends the model towards it.
A heater of second order, or a sensor that lags, makes up to 5.5 times (by simulation; common practice, no
source)."""
AMBIENT_WITHIN = 5.0
"""K. A heat-up begins about as warm as what is around it: without that a short run would fit any (common
practice, no source)."""
AMBIENT_AT_MOST = 30.0
OF_ALL, OF_RISE = 200, 100
"""One in so many samples is of the beginning, whose median is where the run starts."""
LONG_ENOUGH = 0.7
"""Time constants that a run must last before gain and time constant are known one by one."""


class HeaterFit(NamedTuple):
    """A heater as measured."""

    plant: Plant
    ambient: float
    """°C"""
    residual: float
    """K, the root of the mean square."""
    worst: float
    """K, the largest."""
    start: float
    """°C, where the model begins: the first sample alone is noise."""
    top: float
    """°C, the highest that was measured."""
    full: float
    """The largest duty that was given, 0 to 1."""
    seconds: float

    @property
    def rise(self) -> float:
        """K, from the start to the top."""
        return self.top - self.start

    @property
    def rough(self) -> bool:
        """Whether a heater of first order explains the run, but not well."""
        uneven = self.worst > max(UNEVEN * self.residual, UNEVEN_FROM)
        return uneven or self.residual > ROUGH * self.rise or self.worst > ROUGH_AT_WORST * self.rise

    @property
    def short(self) -> bool:
        """Whether the run ended so early that only gain ÷ time constant is known."""
        return self.seconds < LONG_ENOUGH * self.plant.time_constant


def fit_heater(path: Path, run: HeatUp) -> HeaterFit:
    """Gain, time constant, dead time and ambient that explain a run best. ``path`` is for the errors.

    Raises MeasurementError where no such heater explains it.
    """
    import numpy

    first = min(len(run.time) // OF_ALL, _rising(run) // OF_RISE)
    start = float(numpy.median(run.temperature[: max(1, first)]))
    rise = float(run.temperature.max()) - start
    point = _best(run, start, rise)
    plant, ambient = Plant(*map(float, point[:3])), float(point[3])
    missed = simulated(plant, run.duty, run.step, ambient, start) - run.temperature
    residual = float(numpy.sqrt(numpy.mean(missed**2)))
    if not numpy.isfinite(residual) or residual > UNEXPLAINED * rise:
        raise MeasurementError(
            f"{path}: no heater explains this run (the best is off by {residual:.1f} K): record one plain "
            "heat-up, with the duty that was really given"
        )
    worst, top = float(numpy.abs(missed).max()), float(run.temperature.max())
    return HeaterFit(plant, ambient, residual, worst, start, top, float(run.duty.max()), float(run.time[-1]))


def _rising(run: HeatUp) -> int:
    """Samples until the rise is over: a hold after it does not make the beginning longer."""
    low, high = float(run.temperature[0]), float(run.temperature.max())
    return int((run.temperature >= low + RISEN * (high - low)).argmax())


def _best(run: HeatUp, start: float, rise: float) -> ndarray:
    """Gain, time constant, dead time and ambient by least squares, from several starts."""
    import numpy
    from scipy.optimize import least_squares

    length, weight = float(run.time[-1]), numpy.sqrt(len(run.time))

    def misfit(point: ndarray) -> ndarray:
        gain, constant, dead, ambient = map(float, point)
        missed = simulated(Plant(gain, constant, dead), run.duty, run.step, ambient, start) - run.temperature
        surplus = 0.01 * rise * weight * (ambient - start) / AMBIENT_WITHIN
        return numpy.append(missed, surplus)

    low = [rise * 0.2, run.step / 4.0, 0.0, start - AMBIENT_AT_MOST]
    high = [rise * 1000.0, length * 1000.0, length / 2.0, start + AMBIENT_AT_MOST]
    scale = [rise, length, length / 20.0, AMBIENT_WITHIN]
    found = [
        least_squares(misfit, [2.0 * rise, length / part, dead, start], bounds=(low, high), x_scale=scale)
        for part in (10.0, 2.0)
        for dead in (run.step, length / 20.0)
    ]
    best: ndarray = min(found, key=lambda one: one.cost).x
    return best


def simulated(plant: Plant, duty: ndarray, step: float, ambient: float, start: float) -> ndarray:
    """The temperature in °C that a heater would have, every ``step`` s, from ``start`` °C on.

    Exact for a duty that holds between samples, and any dead time θ = m Δ + φ with 0 ≤ φ < Δ:
    x ← x e^(−Δ/τ) + k u[n − m − 1] (e^(−(Δ − φ)/τ) − e^(−Δ/τ)) + k u[n − m] (1 − e^(−(Δ − φ)/τ)).
    """
    import numpy
    from scipy.signal import lfilter

    whole, rest = divmod(plant.dead_time, step)
    kept = float(numpy.exp(-step / plant.time_constant))
    late = float(numpy.exp(-(step - rest) / plant.time_constant))
    padded = numpy.concatenate([numpy.zeros(int(whole) + 1), duty])[: len(duty) + 1]
    earlier, now = padded[:-1], padded[1:]
    driven = plant.gain * (earlier * (late - kept) + now * (1.0 - late))
    put = numpy.concatenate([[start - ambient], driven[:-1]])
    warmer: ndarray = lfilter([1.0], [1.0, -kept], put)
    return ambient + warmer
