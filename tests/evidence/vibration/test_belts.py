"""Belts: how alike, which is looser, and which of three directions counts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import signal

from cfgaudit.evidence.recordings.columns import MeasurementError
from cfgaudit.evidence.recordings.recording import Recording
from cfgaudit.evidence.vibration.belts import (
    Belts,
    Comparison,
    Match,
    analyse_belts,
    belt_results,
    compare_belts,
)
from cfgaudit.evidence.vibration.spectrum import Spectrum
from evidence.simulated import ringing

FILES = ("a.csv", "b.csv")
RATE = 1600.0


def recording(*signals: np.ndarray, rate: float = RATE) -> Recording:
    return Recording(rate, dict(zip("xyz", signals, strict=False)), ())


def analysed(left: Recording, right: Recording, direction: str | None = None) -> Belts:
    return analyse_belts(FILES, (left, right), direction)


def alike(likeness: float, a: float = 80.0, b: float = 80.0) -> Comparison:
    return Comparison(likeness, (a, b), (30.0, 120.0), 2.0)


def test_ninety_three_per_cent_are_well_matched() -> None:
    """Common practice, no source: an ordinary good result."""
    assert alike(0.93).match is Match.WELL


@pytest.mark.parametrize(
    ("likeness", "match"),
    [(1.0, Match.WELL), (0.9, Match.WELL), (0.899, Match.FAIRLY), (0.8, Match.FAIRLY), (0.5, Match.UNLIKE)],
)
def test_matches(likeness: float, match: Match) -> None:
    assert alike(likeness).match is match


def test_the_lower_one_is_looser() -> None:
    """80 and 76 Hz: tension goes with the square, (76 ÷ 80)² = 0.9025."""
    compared = alike(0.9, 80.0, 76.0)
    assert compared.looser == 1
    assert compared.slack == pytest.approx(0.0975)
    assert alike(0.9, 76.0, 80.0).looser == 0
    assert alike(0.9, 76.0, 80.0).slack == pytest.approx(0.0975)


def test_peaks_closer_than_the_spectra_can_tell_show_nothing() -> None:
    assert alike(0.99, 80.0, 80.9).looser is None


def test_the_same_run_is_wholly_alike() -> None:
    run = recording(ringing(80))
    compared = analysed(run, run).comparison
    assert compared.likeness == pytest.approx(1.0, abs=1e-12)
    assert compared.tension_ratio == 1.0
    assert compared.looser is None


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("sweep", [True, False])
def test_noise_does_not_make_a_belt_unlike_itself(seed: int, sweep: bool) -> None:
    left, right = (recording(ringing(80, seed=2 * seed + one, sweep=sweep)) for one in (0, 1))
    assert analysed(left, right).comparison.match is Match.WELL


def test_the_direction_with_most_energy_in_both_counts() -> None:
    strong, weak = ringing(80), ringing(40)
    found = analysed(recording(weak * 0.2, strong, weak * 0.1), recording(weak * 0.3, strong, weak * 0.1))
    assert [one.direction for one in found.belts] == ["y", "y"]
    assert any("acceleration of y is compared" in one for one in found.notes)


def test_a_named_direction_counts() -> None:
    run = recording(ringing(60) * 0.2, ringing(90), ringing(120))
    found = analysed(run, run, "x")
    assert found.comparison.peaks[0] == pytest.approx(60, rel=0.02)
    assert found.notes == ()


def test_a_direction_that_was_not_recorded() -> None:
    run = recording(ringing(80))
    with pytest.raises(MeasurementError, match=r"a\.csv has no acceleration of y: it has x"):
        analysed(run, run, "y")


def test_different_sampling_rates() -> None:
    found = analysed(recording(ringing(80, rate=1600)), recording(ringing(80, rate=800, seed=2), rate=800.0))
    assert any("A has 1600 samples a second, B 800" in one for one in found.notes)
    assert found.comparison.match is Match.WELL


def test_one_silent_belt() -> None:
    with pytest.raises(MeasurementError, match=r"b\.csv is silent beside the other"):
        analysed(recording(ringing(80)), recording(ringing(80, seed=1) * 1e-3))


def test_one_belt_of_noise() -> None:
    noise = np.random.default_rng(1).normal(0, 1000, 12800)
    with pytest.raises(MeasurementError, match=r"b\.csv: nothing stands out of the noise"):
        analysed(recording(ringing(80)), recording(noise))


def sweep_to(last: float, frequency: float, seed: int) -> Recording:
    """A belt that rings at a frequency, shaken from 5 Hz to ``last`` in 20 s, ever more strongly."""
    times = np.arange(20 * 1600) / 1600.0
    pulse = 2 * np.pi * frequency
    top, bottom, _ = signal.cont2discrete(
        ([pulse**2], [1.0, 0.1 * pulse, pulse**2]), 1.0 / 1600.0, "bilinear"
    )
    drive = (5.0 + times * (last - 5.0) / 20.0) * signal.chirp(times, 5.0, 20.0, last)
    moved = signal.lfilter(top.ravel(), bottom, drive)
    noise = np.random.default_rng(seed).normal(0, 0.02, len(times))
    return recording(1000.0 * (moved / moved.std() + noise))


def test_a_sweep_that_ends_below_the_peak_is_doubted() -> None:
    """Both ring at 80 Hz: nothing tells of another tension where only the shaking of B ends earlier."""
    found = analysed(sweep_to(150.0, 80.0, 1), sweep_to(73.0, 80.0, 2))
    (doubt,) = found.doubts
    assert doubt.told.startswith("B: it shakes most at 7")
    assert "but there the shaking ends, and what it rings with may lie beyond" in doubt.told
    assert "wider range" in doubt.remedy
    assert found.looser is None


def test_a_sweep_that_ends_beyond_the_peak_is_not() -> None:
    assert analysed(sweep_to(150.0, 80.0, 1), sweep_to(110.0, 80.0, 2)).doubts == ()


def test_belts_that_were_shaken_differently() -> None:
    found = analysed(recording(ringing(80)), recording(ringing(80, seed=1) * 0.1))
    assert any(one.startswith("B was shaken much less") for one in found.notes)


def test_what_speaks_against_one_recording_speaks_against_both() -> None:
    clipped = recording(ringing(80))._replace(clipped=("x",))
    found = analysed(clipped, recording(ringing(74, seed=1)))
    assert [one.told for one in found.doubts] == ["A: x is clipped: it went beyond the instrument's range"]
    assert found.comparison.looser == 1
    assert found.looser is None
    assert analysed(recording(ringing(80)), recording(ringing(74, seed=1))).doubts == ()


def test_what_a_record_keeps() -> None:
    kept = belt_results(analysed(recording(ringing(80)), recording(ringing(76, seed=1))))
    assert [(one.name, one.unit) for one in kept] == [
        ("likeness", "%"),
        ("peak A", "Hz"),
        ("peak B", "Hz"),
        ("tension ratio", "1"),
    ]


def test_two_modes_of_which_not_the_same_is_louder() -> None:
    """Both belts ring at 80 and 110 Hz, A louder at 80, B at 110: no tension differs by half for that."""
    low, high = ringing(80, seconds=20.0), ringing(110, seconds=20.0, seed=1)
    found = analysed(recording(low + 0.6 * high), recording(0.6 * low + high))
    assert found.crossed
    assert found.looser is None
    assert [one.name for one in belt_results(found)] == ["likeness", "peak A", "peak B"]


def test_a_loose_belt_is_told_though_it_rings_twice() -> None:
    """All its peaks are lower: 70 ÷ 80 is a tension of three quarters."""
    tight = ringing(80, seconds=20.0) + 0.6 * ringing(110, seconds=20.0, seed=1)
    loose = ringing(70, seconds=20.0, seed=2) + 0.6 * ringing(96, seconds=20.0, seed=3)
    found = analysed(recording(tight), recording(loose))
    assert not found.crossed
    assert found.looser == 1
    assert found.comparison.slack == pytest.approx(1 - (70 / 80) ** 2, abs=0.02)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(1e-6, 1e9), min_size=5, max_size=60),
    st.lists(st.floats(1e-6, 1e9), min_size=5, max_size=60),
)
def test_any_spectra(left: list[float], right: list[float]) -> None:
    one, other = (Spectrum(6.0 + 2.0 * np.arange(len(d)), np.array(d), 9) for d in (left, right))
    compared = compare_belts(one, other)
    assert 0.0 <= compared.likeness <= 1.0
    assert one.frequencies[0] <= compared.peaks[0] <= one.frequencies[-1]
    assert compared.band[0] <= compared.band[1]
