"""guard-against-heatup and pid-margin-thin: silent unless a record that holds shows the fault."""

from __future__ import annotations

import re

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.checks.finding import Finding
from cfgaudit.checks.run import raise_fault

RULES = ("guard-against-heatup", "pid-margin-thin")
MAIN = """\
[heater bed]
drive = PD12
thermometer = PC0
highest = 110 °C
regulator = PID
pid p = {p}
pid i = 0.9
pid d = 610

[guard bed]
watches = heater bed
must gain = {rise} K
within = {seconds} s
"""
MODEL = {"gain": 190, "time constant": 1000, "dead time": 26, "ambient": 21, "top": 108}


def record(results: dict[str, float], part: str = "heater bed", more: str = "", day: int = 10) -> str:
    head = f'form = 1\nkind = "heatup"\npart = "{part}"\ndate = 2026-11-{day}T08:00:00+01:00\ndigest = "-"\n'
    tables = "".join(f'\n[[result]]\nname = "{name}"\nvalue = {value}\n' for name, value in results.items())
    return head + tables + more


def found(
    *records: str, p: float = 48, rise: float = 2, seconds: float = 60, more: str = ""
) -> list[Finding]:
    files = {"main.ini": MAIN.format(p=p, rise=rise, seconds=seconds) + more}
    files |= {f"evidence/{number}.toml": one for number, one in enumerate(records)}
    audited = audit_text(files, on_fault=raise_fault).findings.findings
    return [one for one in audited if one.rule in RULES]


def test_a_healthy_machine_is_silent() -> None:
    assert found(record({**MODEL, "full output": 255})) == []


def test_nothing_measured_is_silent() -> None:
    assert found(p=4800, rise=50, seconds=5) == []


def test_a_guard_that_trips() -> None:
    """At 108 °C the rate is (190 − 87) ÷ 1000 = 0.103 K/s, but in 20 s, within the dead time, nothing is."""
    (one,) = found(record(MODEL), seconds=20)
    assert (one.rule, one.where.line) == ("guard-against-heatup", 12)
    assert "gains 0 K in that time (measured 2026-11-10)" in one.message


def test_a_guard_that_sleeps() -> None:
    """From 110 °C, with 190 − 89 = 101 K to go: 101 (1 − e^(−(26 + 1000)/1000)) = 64.8 K, to 175 °C."""
    (one,) = found(record(MODEL), seconds=1000)
    assert (one.rule, one.where.line) == ("guard-against-heatup", 13)
    assert "175 °C" in one.message
    assert "65 K above its upper limit" in one.message


def test_a_guard_wants_nothing_beyond_its_target() -> None:
    """With 100 K at most, 21 °C around, 108 °C the hottest: the last 10 K to the target begin at 98 °C, and
    there 23 (1 − e^(−574/1000)) = 10.05 K are gained in 600 s less 26; at 108 °C it would be 5.7 K."""
    assert found(record({**MODEL, "gain": 100}), rise=10, seconds=600) == []
    assert len(found(record({**MODEL, "gain": 100}), rise=10, seconds=580)) == 1


def test_a_second_time_of_a_guard_may_be_for_something_else() -> None:
    """2 K within 60 s are gained; the 10 s may tell how long the target may be missed."""
    hold = "keeps within = 10 K\ntime = 10 s\n"
    assert found(record(MODEL), more=hold) == []
    (one,) = found(record(MODEL), seconds=20, more=hold)
    assert "wants 2 K within 20 s" in one.message


@pytest.mark.parametrize("full", [1, 100, 255])
@pytest.mark.parametrize("unit", ["", " s"])
def test_times_of_an_ideal_regulator_are_no_thin_gains(full: int, unit: str) -> None:
    """P a third of what makes the loop swing, π τ ÷ 2 k θ, T_i 90 s and T_d 10 s: at ease by any textbook."""
    p = full * 3.1416 * 1000 / (2 * 190 * 26) / 3
    text = (
        MAIN.format(p=p, rise=2, seconds=60).replace("= 0.9", f"= 90{unit}").replace("= 610", f"= 10{unit}")
    )
    files = {"main.ini": text, "evidence/a.toml": record({**MODEL, "full output": full})}
    audited = audit_text(files, on_fault=raise_fault).findings.findings
    assert [one.rule for one in audited if one.rule in RULES] == []


def test_thin_margins_need_a_stated_output() -> None:
    assert found(record(MODEL), p=4800) == []
    assert found(record({**MODEL, "assumed full output": 255}), p=4800) == []
    (one,) = found(record({**MODEL, "full output": 255}), p=4800)
    assert (one.rule, one.where.line) == ("pid-margin-thin", 6)


def test_the_advice_is_enough() -> None:
    """Gains for an output of 0 to 255 where the firmware counts to 60, and what is advised, carried out."""
    measured = {"evidence/a.toml": record({**MODEL, "full output": 60})}

    def told(divisor: float) -> list[str]:
        text = MAIN.format(p=48 / divisor, rise=2, seconds=60)
        text = text.replace("= 0.9", f"= {0.9 / divisor}").replace("= 610", f"= {610 / divisor}")
        audited = audit_text({"main.ini": text} | measured, on_fault=raise_fault).findings.findings
        return [one.message for one in audited if one.rule == "pid-margin-thin"]

    (message,) = told(1)
    advised = re.search(r"; divided by (\S+) they let it rest", message)
    assert advised is not None, message
    assert told(float(advised[1])) == []


def test_nobody_is_told_to_divide_by_a_number_that_is_not_named() -> None:
    """Gains beyond all proportion: no round number up to a thousand helps."""
    (one,) = found(record({**MODEL, "full output": 1}), p=1_000_000)
    assert (one.rule, "divided by" in one.message, "divide" in one.advice) == (
        "pid-margin-thin",
        False,
        False,
    )
    (one,) = found(record({**MODEL, "full output": 255}), p=4800)
    assert ("divided by" in one.message, "divide" in one.advice) == (True, True)


def test_only_the_newest_record_counts() -> None:
    weak = {**MODEL, "gain": 95}
    assert found(record(MODEL, day=11), record(weak, day=10)) == []
    assert len(found(record(MODEL, day=10), record(weak, day=11))) == 1


def test_a_stale_record_says_nothing() -> None:
    then = '\n[[setting]]\npart = "heater bed"\nrole = "power.rating"\nvalue = "400 W"\n'
    then += 'section = "heater bed"\nsetting = "rating"\n'
    assert found(record(MODEL, more=then), seconds=20) == []


def test_a_record_that_lacks_numbers_says_nothing() -> None:
    for name in MODEL:
        assert found(record({key: value for key, value in MODEL.items() if key != name}), seconds=20) == []
    for wrong in ({"gain": -1}, {"time constant": 0}, {"dead time": -3}):
        assert found(record({**MODEL, **wrong}), seconds=20) == []


def test_a_record_of_another_heater_says_nothing() -> None:
    lid = "\n[heater lid]\ndrive = PD13\nthermometer = PC1\nhighest = 90 °C\n"
    assert found(record(MODEL, part="heater lid"), seconds=20, more=lid) == []


def test_a_full_output_that_cannot_be_says_nothing() -> None:
    assert found(record({**MODEL, "full output": 0}), p=4800) == []


def test_extreme_numbers_are_no_fault() -> None:
    for value in (1e-300, 1e300):
        for name in MODEL:
            found(record({**MODEL, name: value, "full output": value}), seconds=20)
