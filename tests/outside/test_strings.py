"""Belts as strings: f = √(T ÷ µ) ÷ 2L, as any textbook of physics has it (from memory).

Simulated belts: two strings of known tension, each as what rings at its frequency.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from evidence.simulated import ringing

from cfgaudit.evidence.recordings.recording import Recording
from cfgaudit.evidence.vibration.belts import Belts, analyse_belts

SPAN, MASS = 0.25, 0.0085
"""m, and kg/m: a fibre-reinforced belt of 6 mm, roughly."""


def string_frequency(tension: float) -> float:
    """Hz, of a string under a tension in N."""
    return sqrt(tension / MASS) / (2 * SPAN)


def belts(tensions: tuple[float, float], seed: int, *, sweep: bool) -> Belts:
    runs = [
        Recording(
            3200.0, {"a": ringing(string_frequency(one), 0.04, rate=3200, seed=seed + at, sweep=sweep)}, ()
        )
        for at, one in enumerate(tensions)
    ]
    return analyse_belts(("a", "b"), runs)


@pytest.mark.parametrize("sweep", [True, False])
@pytest.mark.parametrize("tensions", [(15.0, 12.0), (12.0, 15.0), (14.0, 13.0), (10.0, 14.0)])
def test_the_ratio_of_tensions_is_found(tensions: tuple[float, float], sweep: bool) -> None:
    found = [belts(tensions, seed, sweep=sweep).comparison for seed in (0, 10, 20)]
    ratio = np.mean([one.tension_ratio for one in found])
    assert ratio == pytest.approx(tensions[0] / tensions[1], rel=0.04)
    assert {one.looser for one in found} == {int(tensions[1] < tensions[0])}


def test_equal_tensions_show_no_difference() -> None:
    assert belts((14.0, 14.0), 3, sweep=True).comparison.looser is None


def test_a_signal_is_wholly_like_itself() -> None:
    run = Recording(3200.0, {"a": ringing(81.0, rate=3200)}, ())
    assert analyse_belts(("a", "a"), (run, run)).comparison.likeness == pytest.approx(1.0, abs=1e-12)


def test_a_louder_signal_is_as_like() -> None:
    """A correlation does not change with a factor."""
    quiet = ringing(81.0, rate=3200)
    runs = [Recording(3200.0, {"a": quiet * factor}, ()) for factor in (1.0, 1.7)]
    assert analyse_belts(("a", "b"), runs).comparison.likeness == pytest.approx(1.0, abs=1e-9)
