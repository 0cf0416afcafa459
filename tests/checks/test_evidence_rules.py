"""Rules that hold a configuration against what was measured.

Numbers by hand: an undamped ZV shaper, two halves of a move half a period apart, leaves |cos(π f ÷ 2 f_s)|
of a vibration of f where it is set to f_s (Singer and Seering 1990), and rounds by a ÷ 32 f_s², for σ² is
1 ÷ 16 f_s².
"""

from __future__ import annotations

from math import cos, pi
from pathlib import Path

import pytest
from evidence.simulated import ringing

from cfgaudit.audit import audit_text
from cfgaudit.checks.finding import Finding
from cfgaudit.checks.run import raise_fault
from cfgaudit.evidence.recordings.recording import Recording
from cfgaudit.evidence.vibration.resonance import Configured, analyse, resonance_results
from cfgaudit.physics.shapers import impulses
from cfgaudit.physics.shaping import acceleration_ceiling, spread

MACHINE = """\
[axis x]
top acceleration = {accel} mm/s²

[shaper x]
kind = {kind}
frequency = {frequency} Hz
damping = {damping}

[probe]
signal = PC1
offset x = 20
tolerance = {tolerance} mm
"""
RULES = (
    "shaper-off-resonance",
    "accel-beyond-measured",
    "damping-off-measured",
    "repeatability-beyond-tolerance",
)


def record(kind: str, part: str, results: dict[str, tuple[float, str]], date: str = "2026-11-10") -> str:
    head = f'form = 1\nkind = "{kind}"\npart = "{part}"\ndate = {date}T08:00:00+01:00\n'
    return head + "".join(
        f'[[result]]\nname = "{name}"\nvalue = {value}\nunit = "{unit}"\n'
        for name, (value, unit) in results.items()
    )


def resonance(frequency: float, damping: float | None = None, date: str = "2026-11-10") -> str:
    results = {"natural frequency": (frequency, "Hz")}
    if damping is not None:
        results["damping"] = (damping, "1")
    return record("resonance", "axis x", results, date)


def found(
    *records: str,
    kind: str = "ZV",
    frequency: float = 50,
    damping: float = 0,
    accel: float = 2000,
    tolerance: float = 0.006,
    project: str | None = None,
) -> list[Finding]:
    main = MACHINE.format(kind=kind, frequency=frequency, damping=damping, accel=accel, tolerance=tolerance)
    files = {"main.ini": main}
    files |= {f"evidence/{number}.toml": text for number, text in enumerate(records)}
    findings = audit_text(files, project, on_fault=raise_fault).findings.findings
    return [one for one in findings if one.rule in RULES]


def rules(findings: list[Finding]) -> list[str]:
    return [one.rule for one in findings]


@pytest.mark.parametrize(("frequency", "accel"), [(38.5, 3500), (40.1, 3800), (53.2, 6700), (62.0, 9300)])
def test_ordinary_gains_get_no_finding(frequency: float, accel: float) -> None:
    """Common practice, no source: MZV at what was measured, 3500 → 3800 and 6700 → 9300 mm/s²."""
    measured = resonance(frequency, 0.08)
    assert found(measured, kind="MZV", frequency=frequency, damping=0.08, accel=accel) == []
    again = resonance(0.985 * frequency, 0.065)
    assert found(again, kind="MZV", frequency=frequency, damping=0.08, accel=accel) == []


def test_an_ordinary_good_probe_gets_no_finding() -> None:
    """Common practice, no source: 0.0008 mm of standard deviation."""
    good = record("repeatability", "probe", {"standard deviation": (0.0008, "mm")})
    assert found(good, tolerance=0.003) == []


def test_alike_belts_get_no_finding() -> None:
    """Common practice, no source: 93 % alike."""
    assert found(record("belts", "belts", {"likeness": (93.0, "%")})) == []


@pytest.mark.parametrize("measured", [54.0, 60.0, 45.0, 40.0])
def test_the_message_has_both_numbers(measured: float) -> None:
    (one,) = (one for one in found(resonance(measured, 1e-6)) if one.rule == "shaper-off-resonance")
    left = 100 * abs(cos(pi * measured / 100.0))
    assert left > 10
    assert (
        f"rings at {measured:g} Hz, measured 2026-11-10; ZV at 50 Hz leaves {left:.3g} % at that frequency"
        in one.message
    )
    assert one.message.endswith("10 % is the budget")
    assert f"{measured:g} Hz" in one.advice
    assert (one.where.file, one.where.line) == ("main.ini", 6)


@pytest.mark.parametrize("measured", [47.0, 50.0, 53.0])
def test_a_shaper_within_its_budget_is_silent(measured: float) -> None:
    assert 100 * abs(cos(pi * measured / 100.0)) < 10
    assert found(resonance(measured, 1e-6)) == []


def test_the_budget_can_be_another() -> None:
    project = '[limits]\n"shaper-off-resonance.leaves" = 5\n'
    (one,) = found(resonance(53.0, 1e-6), project=project)
    assert "leaves 9.4 %" in one.message  # cos(0.53 π)


def test_damping_is_advised_where_the_frequency_alone_does_not_do() -> None:
    (one, *rest) = found(resonance(50.0, 0.02), damping=0.25)
    assert one.rule == "shaper-off-resonance"
    assert "50 Hz and its damping to 0.02" in one.advice
    assert rules(rest) == ["damping-off-measured"]


def test_acceleration_that_suits_only_a_shaper_that_must_move() -> None:
    """ZV at 50 Hz may have 0.1 × 32 × 50² = 8000 mm/s². What rings at 40 Hz it damps to 10 % up to 42.7 Hz,
    where cos(π ÷ 2 × 40 ÷ 42.7) = 0.1, and may have 5840 there."""
    at = 40.0 / (2.0 / pi * 1.4706289)  # arccos 0.1 = 1.4706289
    most = 0.1 * 32.0 * at**2
    assert rules(found(resonance(40.0, 1e-6), accel=1.02 * most)) == [RULES[1], RULES[0]]
    assert rules(found(resonance(40.0, 1e-6), accel=0.97 * most)) == [RULES[0]]
    (one, _) = found(resonance(40.0, 1e-6), accel=7000)
    named = float(one.message.split("only up to ")[1].split()[0])
    assert named == pytest.approx(most, rel=0.011)  # the search goes in steps
    assert one.where.line == 2


@pytest.mark.parametrize("kind", ["ZV", "MZV", "ZVD", "EI", "two-hump EI"])
@pytest.mark.parametrize("damping", [0.0, 0.05, 0.1])
def test_the_ceiling_that_a_record_keeps_is_never_beyond_what_was_measured(kind: str, damping: float) -> None:
    """The rule allows what leaves its whole budget; `measure resonance` keeps what leaves the least."""
    run = Recording(1600.0, {"x": ringing(44.0, 0.05, seconds=60.0)}, ())
    results = resonance_results(analyse(Path("run.csv"), run, "x", Configured((kind, 90.0, damping), 5000.0)))
    kept = {one.name: (one.value, one.unit) for one in results}
    measured = record("resonance", "axis x", kept)
    ceiling, _ = kept["acceleration ceiling"]
    fits = found(measured, kind=kind, frequency=90.0, damping=damping, accel=ceiling)
    assert "accel-beyond-measured" not in rules(fits)
    assert "shaper-off-resonance" in rules(fits)
    now = acceleration_ceiling(spread(impulses(kind, 90.0, damping)))
    much = found(measured, kind=kind, frequency=90.0, damping=damping, accel=0.999 * now)
    assert "accel-beyond-measured" in rules(much)


def test_what_another_rule_says_is_not_said_again() -> None:
    """Beyond 8000 mm/s² the shaper rounds too much where it stands: accel-beyond-shaper."""
    assert rules(found(resonance(40.0, 1e-6), accel=8100)) == [RULES[0]]


@pytest.mark.parametrize(("set_to", "measured", "told"), [(0.1, 0.04, True), (0.03, 0.07, True),
                                                           (0.1, 0.06, False), (0, 0.1, False)])  # fmt: skip
def test_damping_twice_off(set_to: float, measured: float, told: bool) -> None:
    findings = found(resonance(50.0, measured), kind="ZVD", damping=set_to)
    assert rules(findings) == (["damping-off-measured"] if told else [])
    assert all(f"{measured:g}" in one.advice for one in findings)


@pytest.mark.parametrize(("deviation", "told"), [(0.0019, False), (0.0021, True)])
def test_three_deviations_are_tolerated(deviation: float, told: bool) -> None:
    findings = found(record("repeatability", "probe", {"standard deviation": (deviation, "mm")}))
    assert rules(findings) == (["repeatability-beyond-tolerance"] if told else [])
    assert all("0.0063 mm apart, and 0.006 mm is tolerated" in one.message for one in findings)


@pytest.mark.parametrize(("samples", "told"), [(2, False), (4, False), (5, True), (20, True)])
def test_a_spread_of_few_readings_shows_nothing(samples: int, told: bool) -> None:
    """The true spread of two readings may be a third of theirs (χ²(0.975; 1) = 5.02 by tables)."""
    text = record("repeatability", "probe", {"standard deviation": (0.0021, "mm")})
    findings = found(text.replace('unit = "mm"', f'unit = "mm"\nsamples = {samples}'))
    assert rules(findings) == (["repeatability-beyond-tolerance"] if told else [])


def test_only_the_newest_measurement_counts_and_only_while_it_holds() -> None:
    old, new = resonance(70.0, 0.05, "2026-01-01"), resonance(50.0, 0.05, "2026-02-01")
    assert found(old, new) == []
    assert rules(found(old)) == ["shaper-off-resonance"]
    rails = record("hardware", "new rails on X", {}, "2026-03-01") + 'affects = ["axis.x"]\n'
    assert found(old, rails) == []


@pytest.mark.parametrize(
    "results",
    [
        {},
        {"natural frequency": (-70.0, "Hz")},
        {"natural frequency": (0.0, "Hz")},
        {"natural frequency": (70.0, "rpm")},
        {"damping": (0.05, "1")},
    ],
)
def test_a_record_without_a_usable_frequency_says_nothing(results: dict[str, tuple[float, str]]) -> None:
    assert found(record("resonance", "axis x", results)) == []


@pytest.mark.parametrize("damping", [-0.1, 0.0, 1.0, 40.0])
def test_an_impossible_damping_is_left_out(damping: float) -> None:
    assert found(resonance(50.0, damping), damping=0.08) == []


@pytest.mark.parametrize("kind", ["ZV", "MZV", "ZVD", "EI", "two-hump EI", "three-hump EI"])
@pytest.mark.parametrize("measured", [0.05, 0.1, 0.2])
def test_a_damping_that_is_not_written_is_no_fault(kind: str, measured: float) -> None:
    """The shaper is where the axis rings. With 0 ZV would leave 13.5 % of what damps with 0.1."""
    main = MACHINE.format(kind=kind, frequency=50, damping=0, accel=500, tolerance=0.006)
    files = {"main.ini": main.replace("damping = 0\n", ""), "evidence/x.toml": resonance(50.0, measured)}
    findings = audit_text(files, on_fault=raise_fault).findings.findings
    assert [one.rule for one in findings if one.rule in RULES] == []


def test_a_shaper_without_damping_is_held_against_the_frequency() -> None:
    main = MACHINE.format(kind="ZV", frequency=50, damping=0, accel=500, tolerance=0.006)
    files = {"main.ini": main.replace("damping = 0\n", ""), "evidence/x.toml": resonance(60.0, 0.1)}
    findings = audit_text(files, on_fault=raise_fault).findings.findings
    (one,) = (one for one in findings if one.rule in RULES)
    assert one.rule == "shaper-off-resonance"
    assert one.advice == "Set the shaper of x to 60 Hz, where the axis rings."


@pytest.mark.parametrize("frequency", [1e-300, 1e300])
def test_an_absurd_frequency_says_nothing(frequency: float) -> None:
    assert found(resonance(frequency, 0.05)) == []
