"""What a heater's power refuses."""

from __future__ import annotations

import pytest

from cfgaudit.physics.heat import heater_power


def test_a_heater_without_resistance_has_no_power() -> None:
    with pytest.raises(ValueError, match="above 0"):
        heater_power(24.0, 0.0)
