"""Resonances against what is known from outside: simulated systems, other libraries, and published formulas.

Systems are simulated by scipy.signal: x″ + 2ζωx′ + ω²x driven by noise or by a sweep, with noise of the
instrument on top. Of a run of T seconds that noise drives, no method can tell the frequency much better than
by √(ζ ÷ ωT), and the damping than by √(2 ÷ ζωT), as shares: both follow from a bandwidth of 2ζω that is seen
for T seconds. The runs here are so long that 1 % and 15 % are four times as much, and two minutes at
the least: what the signal follows must be told too.
"""

from __future__ import annotations

from math import pi, sqrt

import numpy as np
import pytest
from scipy import signal
from sdypy import EMA

from cfgaudit.evidence.vibration.modes import Mode, find_modes
from cfgaudit.evidence.vibration.peaks import half_power
from cfgaudit.evidence.vibration.spectrum import Spectrum, spectrum_of

RATE = 3200
INSTRUMENT = 0.02
"""The instrument's noise as a share of the signal."""
FREQUENCIES = [15.0, 30.0, 60.0, 100.0, 150.0]
DAMPINGS = [0.02, 0.05, 0.1, 0.2]
SEEN = {
    "acceleration": lambda w, z: [1.0, 0.0, 0.0],
    "position": lambda w, z: [w * w],
    "carried": lambda w, z: [2 * z * w, w * w],
}
"""What the instrument follows: the mass's acceleration, its position, or what rides on what is shaken."""


def seconds_for(frequency: float, damping: float) -> float:
    """A run in which four standard deviations stay within 1 % of the frequency and 15 % of the damping."""
    pulse = 2 * pi * frequency
    return max(120.0, damping / pulse * (4 / 0.01) ** 2, 2 / (damping * pulse) * (4 / 0.15) ** 2)


def response(drive: np.ndarray, seen: str, frequency: float, damping: float) -> np.ndarray:
    pulse = 2 * RATE * np.tan(pi * frequency / RATE)  # so that the bilinear transform keeps the frequency
    system = (SEEN[seen](pulse, damping), [1.0, 2 * damping * pulse, pulse**2])
    top, bottom, _ = signal.cont2discrete(system, 1 / RATE, "bilinear")
    return np.asarray(signal.lfilter(top.ravel(), bottom, drive))


def drive_of(kind: str, seconds: float, seed: int) -> np.ndarray:
    """Noise, or a sweep from 5 to 250 Hz."""
    times = np.arange(int(seconds * RATE)) / RATE
    if kind == "sweep":
        return np.asarray(signal.chirp(times, 5.0, seconds, 250.0))
    return np.random.default_rng(seed).normal(size=len(times))


def measured(clean: np.ndarray, seed: int = 0) -> tuple[Mode, ...]:
    noise = np.random.default_rng(1000 + seed).normal(size=len(clean))
    return find_modes(1000.0 * (clean / clean.std() + INSTRUMENT * noise), RATE)


@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize("kind", ["noise", "sweep"])
@pytest.mark.parametrize("frequency", FREQUENCIES)
@pytest.mark.parametrize("damping", DAMPINGS)
def test_one_mode(seen: str, kind: str, frequency: float, damping: float) -> None:
    """Frequency within 1 %, damping within 15 %. A sweep of a minute leaves nothing to chance."""
    seconds = 60.0 if kind == "sweep" else seconds_for(frequency, damping)
    (mode,) = measured(response(drive_of(kind, seconds, 1), seen, frequency, damping))
    assert mode.frequency == pytest.approx(frequency, rel=0.01)
    assert mode.damping == pytest.approx(damping, rel=0.15)


@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize("method", ["linear", "logarithmic"])
@pytest.mark.parametrize("grows", [False, True])
@pytest.mark.parametrize("last", [100.0, 133.0, 180.0])
@pytest.mark.parametrize(("frequency", "damping"), [(22.0, 0.03), (45.0, 0.1), (75.0, 0.05), (85.0, 0.02)])
def test_any_sweep_will_do(
    seen: str, method: str, grows: bool, last: float, frequency: float, damping: float
) -> None:
    """Evenly or by octaves, with a strength that is even or grows with frequency, to an end far or near."""
    times = np.arange(60 * RATE) / RATE
    drive = signal.chirp(times, 5.0, 60.0, last, method)
    if grows:
        drive = drive * (5.0 + times * (last - 5.0) / 60.0)
    (mode,) = measured(response(drive, seen, frequency, damping))
    assert mode.frequency == pytest.approx(frequency, rel=0.01)
    assert mode.damping == pytest.approx(damping, rel=0.15)


@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize("grows", [False, True])
@pytest.mark.parametrize("last", [50.0, 60.0, 68.0])
@pytest.mark.parametrize("damping", [0.02, 0.06])
def test_where_a_sweep_ends_nothing_rings(seen: str, grows: bool, last: float, damping: float) -> None:
    """The axis rings at 75 Hz, and the sweep ends short of that: it shakes most where it ends."""
    times = np.arange(60 * RATE) / RATE
    drive = signal.chirp(times, 5.0, 60.0, last) * (5.0 + times * (last - 5.0) / 60.0 if grows else 1.0)
    assert measured(response(drive, seen, 75.0, damping)) == ()


@pytest.mark.parametrize("damping", [0.02, 0.05, 0.1, 0.2])
@pytest.mark.parametrize("frequency", [20.0, 45.0, 90.0])
def test_taps(frequency: float, damping: float) -> None:
    """Half a minute of blows of two milliseconds, no two alike."""
    random = np.random.default_rng(0)
    drive = np.zeros(30 * RATE)
    blow = np.sin(np.pi * np.arange(7) / 7)
    for at in np.cumsum(random.uniform(0.8, 1.6, 18)):
        drive[int(at * RATE) :][:7] += random.uniform(0.5, 1.5) * blow
    (mode,) = measured(response(drive, "acceleration", frequency, damping))
    assert mode.frequency == pytest.approx(frequency, rel=0.01)
    assert mode.damping == pytest.approx(damping, rel=0.15)


@pytest.mark.parametrize("damping", [0.02, 0.05])
@pytest.mark.parametrize("seconds", [8.0, 20.0])
def test_short_runs_are_as_good_as_chance_allows(damping: float, seconds: float) -> None:
    """Over 30 runs the damping is off by no more than 1.5 times what the bound above allows."""
    off = []
    for seed in range(30):
        (mode,) = measured(response(drive_of("noise", seconds, seed), "acceleration", 60.0, damping), seed)
        off.append(mode.damping / damping - 1)
    bound = sqrt(2 / (damping * 2 * pi * 60.0 * seconds))
    assert np.sqrt(np.mean(np.square(off))) < 1.5 * bound


@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize("kind", ["noise", "sweep"])
@pytest.mark.parametrize("strength", [1.0, 0.6, -0.8])
@pytest.mark.parametrize(("low", "damping"), [(30.0, 0.03), (50.0, 0.04), (80.0, 0.05)])
def test_two_modes_close_together(seen: str, kind: str, strength: float, low: float, damping: float) -> None:
    """At a ratio of 1.15 their peaks may be one. Runs of two minutes: the bandwidths are narrow."""
    drive = drive_of(kind, 120.0, 1)
    high = 1.15 * low
    modes = measured(response(drive, seen, low, damping) + strength * response(drive, seen, high, damping))
    assert len(modes) == 2
    for mode, true in zip(sorted(modes), (low, high), strict=True):
        assert mode.frequency == pytest.approx(true, rel=0.01)
        assert mode.damping == pytest.approx(damping, rel=0.2)


@pytest.mark.parametrize(("frequency", "damping"), [(30.0, 0.06), (48.5, 0.04), (76.0, 0.1), (120.0, 0.03)])
def test_against_a_library_of_modal_analysis(frequency: float, damping: float) -> None:
    """Source: sdypy-EMA's LSCF poles, from the frequency response that the drive and the answer give (H₁)."""
    drive = drive_of("noise", seconds_for(frequency, damping), 7)
    moved = response(drive, "acceleration", frequency, damping)
    window = {"fs": RATE, "nperseg": 4 * RATE}
    f, across = signal.csd(drive, moved, **window)
    _, alone = signal.welch(drive, **window)
    low, high = 0.6 * frequency, 1.6 * frequency
    model = EMA.Model((across / alone)[None, :], f, lower=low, upper=high, pol_order_high=20)
    model.get_poles(method="lscf", show_progress=False)
    model.select_closest_poles([frequency])
    (mode,) = measured(moved)
    assert mode.frequency == pytest.approx(float(model.nat_freq[0]), rel=0.01)
    assert mode.damping == pytest.approx(float(model.nat_xi[0]), rel=0.15)


def test_white_noise_has_a_flat_density() -> None:
    """σ² ÷ (f_s ÷ 2), one-sided: textbook, such as J. S. Bendat, A. G. Piersol, Random Data (from memory)."""
    spread, rate = 3.0, 800.0
    found = spectrum_of(spread * np.random.default_rng(3).normal(size=400_000), rate, 2.0)
    level = spread**2 / (rate / 2)
    assert found.density[3:-3].mean() == pytest.approx(level, rel=0.01)
    assert found.density[3:-3].std() / level == pytest.approx(1 / sqrt(found.averages), rel=0.3)


@pytest.mark.parametrize("frequency", [12.0, 48.5, 187.3])
def test_a_sine_has_the_power_of_half_its_square(frequency: float) -> None:
    """A² ÷ 2, in the few points around its frequency."""
    times = np.arange(60 * RATE) / RATE
    found = spectrum_of(7.0 * np.sin(2 * pi * frequency * times + 0.3), RATE)
    near = np.abs(found.frequencies - frequency) < 3.0
    assert found.density[near].sum() * found.step == pytest.approx(7.0**2 / 2, rel=1e-3)
    assert abs(found.frequencies[found.density.argmax()] - frequency) <= found.step / 2 + 1e-9


@pytest.mark.parametrize("resolution", [0.5, 2.0])
def test_welch_of_scipy(resolution: float) -> None:
    """Source: scipy.signal.welch with the same windows on the same signal, continued by zeros by hand."""
    run = np.random.default_rng(4).normal(size=40 * RATE).cumsum() % 9.0
    run -= run.mean()
    length = round(RATE / resolution)
    hop = length // 4
    padded = np.concatenate([np.zeros(3 * hop), run, np.zeros(8 * hop)])
    padded = padded[: (len(run) // hop + 8) * hop]
    f, density = signal.welch(
        padded, RATE, "hann", nperseg=length, noverlap=3 * hop, detrend=False, return_onesided=True
    )
    windows = (len(padded) - length) // hop + 1
    found = spectrum_of(run, RATE, resolution)
    np.testing.assert_allclose(found.frequencies, f)
    np.testing.assert_allclose(found.density, density * windows * hop / len(run), rtol=1e-9)


@pytest.mark.parametrize("damping", [0.005, 0.02, 0.05])
def test_half_power_bandwidth(damping: float) -> None:
    """ζ = (f₂ − f₁) ÷ 2f₀ for light damping: S. S. Rao, Mechanical Vibrations (from memory), of the
    magnification 1 ÷ √((1 − r²)² + (2ζr)²)."""
    f = np.arange(30.0, 70.0, 0.01)
    ratio = f / 48.0
    density = 1 / ((1 - ratio**2) ** 2 + (2 * damping * ratio) ** 2)
    peak, found = half_power(Spectrum(f, density, 1), 48.0, damping)
    assert found == pytest.approx(damping, rel=0.03)  # averaging widens it a little
    assert peak == pytest.approx(48.0 * sqrt(1 - 2 * damping**2), abs=0.01)
