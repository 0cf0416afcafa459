"""Fans of four wires against "4-Wire Pulse Width Modulation (PWM) Controlled Fans Specification".

Intel, revision 1.3, 2005, §2.1.4: 25 kHz, 21 to 28 kHz acceptable.
"""

from __future__ import annotations

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.checks.run import raise_fault

FAN = "[fan bay]\ndrive = PB0\ntachometer = PB1\npwm frequency = {}\n"


def messages(frequency: str) -> list[str]:
    text = FAN.format(frequency)
    found = audit_text({"main.ini": text}, on_fault=raise_fault).findings.findings
    return [one.message for one in found if one.rule == "fan-pwm-out-of-range"]


@pytest.mark.parametrize("frequency", ["25 kHz", "21 kHz", "28 kHz", "25000", "21000 Hz"])
def test_what_the_specification_accepts_is_accepted(frequency: str) -> None:
    assert messages(frequency) == []


@pytest.mark.parametrize("frequency", ["20.9 kHz", "28.1 kHz", "20000", "31250 Hz", "1 kHz"])
def test_what_it_does_not_accept_is_found(frequency: str) -> None:
    (message,) = messages(frequency)
    assert "21 kHz to 28 kHz" in message
