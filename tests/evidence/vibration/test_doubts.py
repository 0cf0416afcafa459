"""What speaks against a recording, and what does not: by simulations with known answers."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.evidence.recordings.recording import Recording
from cfgaudit.evidence.vibration.doubts import damping_doubts, lost_share, recording_doubts
from cfgaudit.evidence.vibration.modes import Mode
from cfgaudit.evidence.vibration.resonance import Configured, Resonance, analyse
from evidence.simulated import ringing

RATE = 1600.0
SWEPT = 195.0
"""Hz from 5 on that `ringing` sweeps through."""


def bridged(signal: np.ndarray, *gaps: tuple[float, float]) -> Recording:
    """A recording with gaps, from and to s, over which straight lines lead."""
    there = np.ones(len(signal), dtype=bool)
    for start, end in gaps:
        there[round(start * RATE) + 1 : round(end * RATE)] = False
    at = np.arange(len(signal))
    return Recording(RATE, {"x": np.interp(at, at[there], signal[there])}, (), gaps)


def analysed(recording: Recording) -> Resonance:
    return analyse(Path("run.csv"), recording, "x", Configured())


def told(recording: Recording) -> list[str]:
    return [one.told for one in analysed(recording).doubts]


@pytest.mark.parametrize("frequency", [30.0, 48.0, 77.0, 110.0])
@pytest.mark.parametrize("damping", [0.03, 0.06, 0.1])
@pytest.mark.parametrize(("seconds", "sweep"), [(16.0, True), (60.0, True), (30.0, False), (60.0, False)])
def test_ordinary_good_runs_are_not_doubted(
    frequency: float, damping: float, seconds: float, sweep: bool
) -> None:
    for seed in range(2):
        signal = ringing(frequency, damping, seconds=seconds, seed=seed, sweep=sweep)
        found = analysed(Recording(RATE, {"x": signal}, ()))
        assert found.doubts == ()
        assert found.modes[0].frequency == pytest.approx(frequency, rel=0.02)


def test_a_gap_where_it_rings() -> None:
    """1 s of 16, as the sweep passes 46 Hz: another frequency comes out, and no number tells why."""
    signal = ringing(46.0, 0.065, seconds=16.0, sweep=True)
    rings = 16.0 * (46.0 - 5.0) / SWEPT
    recording = bridged(signal, (rings - 0.2, rings + 0.8))
    assert abs(analysed(recording).modes[0].frequency / 46.0 - 1.0) > 0.05
    (one,) = analysed(recording).doubts
    assert one.told.startswith("a gap of 1 s while it was shaken took about ")
    assert one.remedy == "see that the instrument loses no samples on their way"
    many = bridged(signal, *((rings + at, rings + at + 0.2) for at in (-0.8, -0.4, 0.0, 0.4)))
    assert told(many)[0].startswith("4 gaps of 0.8 s in all while it was shaken took about ")


@pytest.mark.parametrize("at", [9.0, 12.0, 14.5])
def test_a_gap_where_hardly_anything_shakes(at: float) -> None:
    recording = bridged(ringing(46.0, 0.065, seconds=16.0, sweep=True), (at, at + 1.0))
    assert analysed(recording).doubts == ()
    assert analysed(recording).modes[0].damping == pytest.approx(0.065, rel=0.15)


@pytest.mark.parametrize("sweep", [True, False])
def test_a_few_lost_samples(sweep: bool) -> None:
    signal = ringing(46.0, 0.065, seconds=60.0, sweep=sweep)
    assert told(bridged(signal, *((at, at + 0.02) for at in np.arange(3.0, 57.0, 6.0)))) == []


def test_what_is_lost_of_an_even_signal_is_the_time_that_is_lost() -> None:
    even = np.random.default_rng(0).normal(size=16_000)
    recording = bridged(even, (2.0, 3.0))
    assert lost_share(recording.signals["x"], RATE, recording.gaps) == pytest.approx(0.1, rel=0.15)
    assert lost_share(even, RATE, ()) == 0.0


def test_only_the_direction_that_counts_is_doubted_for_its_clipping() -> None:
    signals = {"x": ringing(48.0, seconds=30.0), "y": ringing(60.0, seconds=30.0, seed=1)}
    note = "y is clipped: it went beyond the instrument's range"
    run = Recording(RATE, signals, (note,), clipped=("y",))
    x, y = (analyse(Path("run.csv"), run, axis, Configured()) for axis in "xy")
    assert (x.doubts, x.notes) == ((), (note,))
    assert ([one.told for one in y.doubts], y.notes) == ([note], ())


def test_two_dampings_that_contradict_one_another() -> None:
    one = Mode(48.0, 0.06, 48.0, 0.11, 1.0)
    assert [found.told for found in damping_doubts([one], 16.0)] == [
        "the fit says a damping of 0.060, the half-power bandwidth 0.110, more than 60 % apart"
    ]
    assert list(damping_doubts([one._replace(half_power=None)], 16.0)) == []
    assert list(damping_doubts([one._replace(half_power=0.09)], 16.0)) == []


def test_a_bandwidth_that_tells_no_damping_contradicts_none() -> None:
    """A peak narrower than the spectrum's steps, heavy damping, and a neighbour that makes it wider."""
    narrow = Mode(20.0, 0.02, 20.0, 0.036, 1.0)
    assert list(damping_doubts([narrow], 8.0)) == []
    assert len(list(damping_doubts([narrow], 60.0))) == 1
    assert list(damping_doubts([Mode(48.0, 0.15, 48.0, 0.3, 1.0)], 60.0)) == []
    one = Mode(48.0, 0.06, 48.0, 0.11, 0.6)
    assert list(damping_doubts([one, one._replace(frequency=55.0)], 60.0)) == []
    assert len(list(damping_doubts([one, one._replace(frequency=92.0)], 60.0))) == 1


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(0.0, 12.0), min_size=0, max_size=8).map(sorted),
    st.integers(0, 9),
)
def test_any_gaps(ends: list[float], seed: int) -> None:
    signal = np.random.default_rng(seed).normal(size=16_000)
    gaps = tuple(zip(ends[::2], ends[1::2], strict=False))
    assert 0.0 <= lost_share(signal, RATE, gaps) <= 1.0
    assert len(list(recording_doubts(Recording(RATE, {"a": signal}, (), gaps, ("a",)), "a"))) in (1, 2)
