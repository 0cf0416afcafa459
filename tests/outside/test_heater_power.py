"""Electrical power of a heater, by Joule's law."""

from __future__ import annotations

import pytest

from cfgaudit.physics.heat import heater_power


def test_24_volts_on_14_4_ohms_are_40_watts() -> None:
    assert heater_power(24.0, 14.4) == pytest.approx(40.0)


def test_half_the_duty_is_half_the_power() -> None:
    assert heater_power(24.0, 14.4, duty=0.5) == pytest.approx(20.0)
