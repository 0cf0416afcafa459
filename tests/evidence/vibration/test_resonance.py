"""From a recording to what is told of an axis, and to what is kept."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy import signal

from cfgaudit.evidence.recordings.columns import MeasurementError
from cfgaudit.evidence.recordings.recording import Recording
from cfgaudit.evidence.vibration.resonance import Configured, analyse, resonance_results
from evidence.simulated import ringing

PATH = Path("run.csv")
LOW, HIGH = ringing(48.0, 0.05, seconds=60.0), ringing(92.0, 0.04, seconds=60.0, seed=1)


def recording(**signals: np.ndarray) -> Recording:
    return Recording(1600.0, signals, ("a note",))


def test_the_axis_that_was_shaken() -> None:
    run = recording(x=LOW, y=HIGH, z=np.zeros(len(LOW)))
    assert analyse(PATH, run, "x", Configured()).modes[0].frequency == pytest.approx(48.0, rel=0.01)
    found = analyse(PATH, run, "y", Configured())
    assert found.modes[0].frequency == pytest.approx(92.0, rel=0.01)
    assert (found.axis, found.seconds, found.rate, found.notes) == ("y", 60.0, 1600.0, ("a note",))


def test_a_single_acceleration_is_of_whatever_was_shaken() -> None:
    assert analyse(PATH, recording(a=LOW), "y", Configured()).notes == ("a note",)
    assert analyse(PATH, recording(y=LOW), "y", Configured()).notes == ("a note",)
    found = analyse(PATH, recording(x=LOW), "y", Configured())
    assert found.notes[1:] == ("the file has one acceleration, x, and it is taken as that of y",)


def test_what_is_kept() -> None:
    set_to = Configured(("MZV", 61.3, 0.1), 5000.0)
    found = analyse(PATH, recording(x=LOW + 0.5 * HIGH), "x", set_to)
    kept = {one.name: one for one in resonance_results(found)}
    assert list(kept) == [
        "natural frequency",
        "damping",
        "peak frequency",
        "half-power damping",
        "natural frequency 2",
        "remaining vibration",
        "acceleration ceiling",
    ]
    assert [one.unit for one in kept.values()] == ["Hz", "1", "Hz", "1", "Hz", "1", "mm/s²"]
    assert kept["natural frequency"].value == pytest.approx(48.0, rel=0.01)
    assert kept["natural frequency 2"].value == pytest.approx(92.0, rel=0.01)
    assert found.choice.configured is not None
    assert kept["remaining vibration"].value == pytest.approx(found.choice.configured.remains, rel=1e-4)
    assert found.choice.same_kind is not None
    assert (found.choice.same_kind.kind, found.choice.configured.frequency) == ("MZV", 61.3)
    assert kept["acceleration ceiling"].value == pytest.approx(found.choice.same_kind.ceiling, rel=1e-4)
    assert all(len(f"{one.value:.15g}".replace(".", "").lstrip("0")) <= 6 for one in kept.values())


def test_what_is_kept_does_not_hang_on_what_was_asked() -> None:
    """Records are compared, and do not say what was asked."""
    set_to, run = Configured(("MZV", 61.3, 0.1), 5000.0), recording(x=LOW)
    usual = resonance_results(analyse(PATH, run, "x", set_to))
    assert resonance_results(analyse(PATH, run, "x", set_to, budget=0.25, leaves=0.02)) == usual


def ceiling(frequency: float, shaper: float) -> float:
    run = recording(x=ringing(frequency, 0.05, seconds=60.0, seed=3))
    results = resonance_results(analyse(PATH, run, "x", Configured(("MZV", shaper, 0.05), 5000.0)))
    return next(one.value for one in results if one.name == "acceleration ceiling")


def test_an_upgrade_shows_in_the_ceiling_that_is_kept() -> None:
    """Whatever is set: σ² of a shaper goes with 1 ÷ f², so a quarter more Hz allow 1.25² times as much."""
    before = ceiling(48.0, 48.0)
    assert ceiling(60.0, 48.0) / before == pytest.approx(1.25**2, rel=0.02)
    assert ceiling(60.0, 60.0) == ceiling(60.0, 48.0)


def test_without_a_shaper_nothing_of_one_is_kept() -> None:
    found = analyse(PATH, recording(x=LOW), "x", Configured())
    assert [one.name for one in resonance_results(found)][-1] == "half-power damping"
    half = found.modes[0]._replace(half_power=None)
    assert [one.name for one in resonance_results(found._replace(modes=(half,)))][-1] == "peak frequency"


def test_what_was_asked_decides() -> None:
    strict = analyse(PATH, recording(x=LOW), "x", Configured(None, 5000.0), budget=0.2, leaves=0.01)
    assert strict.wanted == (5000.0, 0.2, 0.01)
    assert strict.choice.recommended.remains <= 0.01
    assert analyse(PATH, recording(x=LOW), "x", Configured()).wanted == (None, 0.1, 0.1)


def test_an_axis_that_was_not_recorded() -> None:
    with pytest.raises(MeasurementError, match=r"^run\.csv has no acceleration of b, only of x, y, z"):
        analyse(PATH, recording(x=LOW, y=LOW, z=LOW), "b", Configured())


def sweep_to(last: float, frequency: float) -> np.ndarray:
    """What rings at a frequency, shaken from 5 Hz to ``last``, ever more strongly."""
    times = np.arange(60 * 1600) / 1600.0
    pulse = 2 * np.pi * frequency
    system = ([1.0, 0.0, 0.0], [1.0, 0.1 * pulse, pulse**2])
    top, bottom, _ = signal.cont2discrete(system, 1.0 / 1600.0, "bilinear")
    drive = (5.0 + times * (last - 5.0) / 60.0) * signal.chirp(times, 5.0, 60.0, last)
    return np.asarray(signal.lfilter(top.ravel(), bottom, drive))


def test_a_sweep_that_ends_short_of_the_resonance() -> None:
    with pytest.raises(
        MeasurementError, match=r"^run\.csv: it shakes most at 59 Hz, but there the shaking ends"
    ):
        analyse(PATH, recording(x=sweep_to(60.0, 75.0)), "x", Configured())


def test_what_is_left_out_where_a_sweep_ends_is_told() -> None:
    """Above its resonance a mass follows the force: it shakes most where the growing sweep ends."""
    found = analyse(PATH, recording(x=sweep_to(180.0, 45.0)), "x", Configured())
    assert [round(one.frequency) for one in found.modes] == [45]
    assert found.notes == (
        "a note",
        "the shaking ends at about 178 Hz, and what rings there or beyond is not told",
    )


@pytest.mark.parametrize("quiet", [np.zeros(9000), np.random.default_rng(0).normal(size=9000)])
def test_nothing_rings(quiet: np.ndarray) -> None:
    with pytest.raises(MeasurementError, match=r"^run\.csv: nothing rings between 5 and 300 Hz: shake"):
        analyse(PATH, recording(x=quiet), "x", Configured())
