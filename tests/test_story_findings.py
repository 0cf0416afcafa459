"""Heron's story as cfgaudit tells it, held against the steps and files that it was written from."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from cfgaudit.audit import Audit
from cfgaudit.checks.finding import Severity
from cfgaudit.cli.states import open_states
from cfgaudit.data import data_folder
from cfgaudit.evidence.comparing.quantity import Verdict
from cfgaudit.evidence.records.read import read_evidence
from cfgaudit.history.change import Change, ChangeKind, Review
from cfgaudit.history.over_time.past import Past
from cfgaudit.history.over_time.timeline import read_pattern, setting_timelines
from cfgaudit.history.review import review
from cfgaudit.history.states.states import States
from cfgaudit.history.story import binds, load_story, write_story
from cfgaudit.history.upgrade import default_states, judge_upgrade

HERON = data_folder("samples") / "heron"
STEPS: list[dict[str, Any]] = tomllib.loads((HERON / "history.toml").read_text("utf-8"))["step"]
FIRST, LAST = (f"good/{step['mark']['date']:%Y-%m-%d}" for step in STEPS if "mark" in step)
HEAVY = (Severity.DANGER, Severity.ERROR)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    made = tmp_path_factory.mktemp("heron")
    with pytest.MonkeyPatch.context() as patch:
        for name in [name for name in os.environ if binds(name)]:
            patch.delenv(name)
        write_story(load_story(HERON), made)
        yield made


@pytest.fixture(scope="module")
def states(folder: Path) -> States:
    return open_states(str(folder / "heron.ini"))


@pytest.fixture(scope="module")
def between(states: States) -> Review:
    """From the first mark to the second."""
    return review(states, states.at(FIRST), states.at(LAST))


@pytest.fixture(scope="module")
def upgrade(states: States) -> Review:
    """From the last mark to the files as they are."""
    return review(states, states.at(states.last_mark().name), states.working_tree())


def git(folder: Path, *arguments: str) -> str:
    return subprocess.run(["git", *arguments], cwd=folder, check=True, capture_output=True, text=True).stdout


def at(changes: Review, address: str) -> Change:
    (change,) = (one for one in changes.changes if one.address == address)
    return change


def values(change: Change) -> tuple[str, str]:
    assert change.before is not None
    assert change.after is not None
    return change.before.value, change.after.value


@pytest.mark.parametrize("back", range(len(STEPS) - 1))
def test_every_commit_is_a_sane_machine(back: int, states: States) -> None:
    found = states.audit(states.at(f"HEAD~{back}")).findings.findings
    assert [(one.rule, one.where) for one in found if one.severity in HEAVY] == []


@pytest.mark.parametrize("mark", [FIRST, LAST])
def test_a_marked_state_has_no_finding_at_all(mark: str, states: States) -> None:
    assert states.audit(states.at(mark)).findings.findings == ()


def test_the_fan_was_renamed_and_nothing_else_happened_to_it(between: Review) -> None:
    renamed = [one for one in between.changes if one.kind is ChangeKind.RENAMED]
    assert [(one.before.section, one.after.section) for one in renamed if one.before and one.after] == [
        ("fan throat", "fan cold-side")
    ]
    assert [one.summary for one in renamed[0].commits] == ["Call the fan what everybody calls it"]
    assert not [one for one in between.changes if "throat" in one.address]
    assert [one.address for one in between.changes if "fan" in one.address] == ["fan cold-side"]
    assert not [one for one in between.changes if one.setting == "cooled by"]


def test_a_move_to_another_file_is_no_change(between: Review, folder: Path) -> None:
    """git says that the sections came to cooling.ini, and that toolhead.ini is hotend.ini now."""
    listed = git(folder, "diff", "--find-renames", "--name-status", FIRST, LAST).splitlines()
    assert "A\tcooling.ini" in listed
    assert [line.split("\t")[1:] for line in listed if line.startswith("R")] == [
        ["toolhead.ini", "hotend.ini"]
    ]
    moved = [
        line.strip("[]") for line in git(folder, "show", f"{LAST}:cooling.ini").splitlines() if "[" in line
    ]
    assert len(moved) == 4
    assert not [one for one in between.changes if one.section in moved or "toolhead" in one.section]
    kinds = {one.kind for one in between.changes}
    assert kinds == {ChangeKind.CHANGED, ChangeKind.RENAMED, ChangeKind.TEXT}


def test_what_the_machine_wrote_is_told_apart(between: Review, folder: Path) -> None:
    """The lines that begin with the machine's mark are all that its commit changed."""
    step = "Heron has measured itself"
    (commit,) = git(folder, "log", "--format=%H", f"--grep={step}").split()
    shown = git(folder, "show", "--format=", "--unified=0", commit).splitlines()
    new = [line[3:].strip() for line in shown if line.startswith("+;~")]
    machine = [one for one in between.changes if one.author == "machine"]
    assert sorted(f"{one.setting} = {values(one)[1]}" for one in machine) == sorted(new)
    assert {one.summary for change in machine for one in change.commits} == {step}


def test_y_was_tuned_by_two(between: Review) -> None:
    change = at(between, "axis y:top acceleration")
    assert values(change) == ("3500 mm/s²", "4500 mm/s²")
    assert [(one.summary, one.author) for one in change.commits] == [
        ("Let Y keep up with X", "Tomas Reuel"),
        ("Y down to 4500", "Noor"),
    ]


@pytest.mark.parametrize("axis", "xy")
def test_larger_pulleys_have_consequences(between: Review, axis: str) -> None:
    """400 steps × 16 ÷ (teeth × 2 mm): 16 teeth give 200 steps/mm, 20 give 160."""
    change = at(between, f"motor {axis}:travel per turn")
    assert values(change) == ("32 mm", "40 mm")
    facts = {one.fact: (one.before, one.after) for one in change.consequences}
    assert facts[f"axis.{axis}.steps_per_mm"] == (200.0, 160.0)


def test_the_upgrade_is_told_without_a_line_that_is_only_text(upgrade: Review) -> None:
    assert upgrade.changes
    assert [one.address for one in upgrade.changes if one.kind is ChangeKind.TEXT] == []


def test_one_zero_too_many_is_a_danger(upgrade: Review) -> None:
    change = at(upgrade, "axis y:top acceleration")
    assert values(change) == ("4500 mm/s²", "50000 mm/s²")
    assert change.severity is Severity.DANGER
    assert change.uncommitted
    assert change.commits == ()
    assert "accel-above-machine" in [one.rule for one in change.findings]


def test_a_commit_after_the_mark_is_named(upgrade: Review) -> None:
    change = at(upgrade, "fan chamber-air:power at least")
    assert values(change) == ("25 %", "30 %")
    assert [one.summary for one in change.commits] == ["Chamber fan from 30 percent up"]
    assert not change.uncommitted


HISTORIES = {
    "axis y:top acceleration": [
        ("axis y", "3500 mm/s²", "Put Heron's configuration under version control"),
        ("axis y", "5000 mm/s²", "Let Y keep up with X"),
        ("axis y", "4500 mm/s²", "Y down to 4500"),
        ("axis y", "50000 mm/s²", None),
    ],
    "fan heatsink:runs with": [
        ("fan throat", "heater nozzle, from 45 °C", "Put Heron's configuration under version control"),
        ("fan cold-side", "heater nozzle, from 45 °C", "Call the fan what everybody calls it"),
        ("fan heatsink", "heater nozzle, from 60 °C", None),
    ],
    "sensor room:bus address": [
        ("sensor room", "0x44", "Put Heron's configuration under version control"),
    ],
}
"""From the steps: what a setting was, in which section, and by which commit; None where it is in none yet."""


@pytest.mark.parametrize("address", HISTORIES)
def test_a_setting_is_followed_through_the_story(address: str, states: States) -> None:
    """Over two renames of its section, a rename of its file, and a move to another file."""
    (line,) = setting_timelines(Past(states), read_pattern(address))
    told = [
        (one.held.section, one.held.value, one.commit.summary if one.commit else None)
        for one in reversed(line.moments)
        if one.held
    ]
    assert told == HISTORIES[address]


def told(audit: Audit, rule: str) -> list[str]:
    return [one.message for one in audit.findings.findings if one.rule == rule]


def test_the_shaper_that_no_longer_fits_is_found_with_both_numbers(states: States) -> None:
    """X was simulated to ring at 77.1 Hz in its last run, and tuning.ini has 61.3."""
    (message,) = told(states.audit(states.working_tree()), "shaper-off-resonance")
    numbers = re.fullmatch(
        r"axis x rings at ([0-9.]+) Hz, measured 2026-11-21; MZV at 61\.3 Hz leaves ([0-9.]+) % "
        "at that frequency, 10 % is the budget",
        message,
    )
    assert numbers is not None
    assert float(numbers[1]) == pytest.approx(77.1, rel=0.01)
    assert float(numbers[2]) > 10


def test_another_current_makes_what_was_measured_stale(folder: Path, tmp_path: Path) -> None:
    shutil.copytree(folder, tmp_path / "heron")
    gantry = tmp_path / "heron" / "gantry.ini"
    text = gantry.read_text("utf-8")
    assert text.count("running current = 1.2 A") == 1, "the one of X"
    gantry.write_text(text.replace("running current = 1.2 A", "running current = 1.0 A"), "utf-8")
    edited = open_states(str(tmp_path / "heron"))
    audit = edited.audit(edited.working_tree())
    reasons = [one for one in told(audit, "evidence-stale") if "axis x" in one]
    assert len(reasons) == 1
    assert "[driver x] running current was 1.2 A and is 1.0 A now" in reasons[0]
    assert told(audit, "shaper-off-resonance") == [], "what is stale is held against nothing"


VERDICTS = {
    ("axis x", "natural frequency"): Verdict.NOT_SHOWN,
    ("axis y", "natural frequency"): Verdict.NOT_SHOWN,
    ("belts", "likeness"): Verdict.BETTER,
    ("probe", "standard deviation"): Verdict.BETTER,
    ("corner-wave", "corner-wave"): Verdict.NOT_SHOWN,
    ("heater bed", "gain"): Verdict.UNTOLD,
    ("heater bed", "time constant"): Verdict.UNTOLD,
}
"""Between the marks, from what was simulated: frequencies 0.3 Hz apart that spread as widely, belts 3.5 Hz
apart and then 2, a probe of 0.0016 mm and then of 0.0006, and a bed that was heated once each time."""


def test_what_the_autumn_was_worth(states: States) -> None:
    evidence = read_evidence(states.working_tree().source)
    found = judge_upgrade(states, evidence, states.at(FIRST), states.at(LAST))
    verdicts = {(one.part, one.name): one.verdict for one in found.quantities}
    assert {key: verdicts[key] for key in VERDICTS} == VERDICTS
    assert found.stale == {}
    assert Verdict.WORSE not in verdicts.values()


def test_what_the_evening_was_worth(states: States) -> None:
    """From 61 to 77 Hz, measured three times each; nothing else was measured that evening."""
    evidence = read_evidence(states.working_tree().source)
    found = judge_upgrade(states, evidence, *default_states(states, evidence))
    by_name = {(one.part, one.name): one for one in found.quantities}
    rings = by_name["axis x", "natural frequency"]
    assert rings.verdict is Verdict.BETTER
    assert rings.change == pytest.approx(76.8 - 61.2, abs=0.5)
    others = {one.verdict for one in found.quantities if one.part != "axis x"}
    assert others == {Verdict.ONLY_BEFORE}


def test_every_mark_knows_what_was_measured_until_then(states: States) -> None:
    dates = {name: states.at(name).revision.date for name in (FIRST, LAST)}
    for name, date in dates.items():
        records = read_evidence(states.at(name).source).records
        assert records
        assert date is not None
        assert all(one.date < date for one in records)
