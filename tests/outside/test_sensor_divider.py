"""What a converter sees of a sensor below a pull-up: worked values by Ohm's law.

The sensors are a thermistor of 100 kΩ at 25 °C with β 3950 K, and a Pt1000 after IEC 60751.
"""

from __future__ import annotations

import pytest

from cfgaudit.physics.curves import ntc_curve, platinum_curve, seen_at, step_at
from cfgaudit.physics.divider import open_ohms

NTC = ntc_curve(nominal=100e3, beta=3950.0)
PT1000 = platinum_curve(nominal=1000.0)
PULLUP = 4700.0


@pytest.mark.parametrize(
    ("bits", "celsius", "step"),
    [
        (12, 60, 0.051),
        (12, 100, 0.036),
        (12, 200, 0.117),
        (12, 300, 0.591),
        (12, 350, 1.179),
        (10, 300, 2.365),
        (10, 350, 4.715),
    ],
)
def test_degrees_for_one_count_of_a_thermistor(bits: int, celsius: float, step: float) -> None:
    assert step_at(NTC, celsius, pullup=PULLUP, bits=bits) == pytest.approx(step, abs=5.1e-4)


def test_degrees_for_one_count_of_platinum() -> None:
    assert step_at(PT1000, 300.0, pullup=PULLUP, bits=12) == pytest.approx(0.678, abs=5e-4)


@pytest.mark.parametrize(("bits", "celsius"), [(12, -59.7), (10, -42.4)])
def test_an_unplugged_thermistor_reads_as_frost(bits: int, celsius: float) -> None:
    assert seen_at(NTC, open_ohms(pullup=PULLUP, bits=bits)) == pytest.approx(celsius, abs=0.05)


def test_a_step_is_the_difference_between_two_counts() -> None:
    """The derivative against counts themselves: where they are fine, one count makes the same difference."""
    from cfgaudit.physics.divider import count_of_ohms, ohms_of_count

    count = count_of_ohms(NTC.ohms(200.0), pullup=PULLUP, bits=16)
    cold, hot = (NTC.celsius(ohms_of_count(count + one, pullup=PULLUP, bits=16)) for one in (0.5, -0.5))
    assert cold is not None
    assert hot is not None
    assert hot - cold == pytest.approx(step_at(NTC, 200.0, pullup=PULLUP, bits=16), rel=1e-4)
