"""Which commits made a change. Repositories are git's own; what made what was done by hand here."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from cfgaudit.history.change import Change
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.over_time.attribution import attribute
from cfgaudit.history.states.states import States
from cfgaudit.project import Project
from cfgaudit.working_tree import WorkingTree
from history.real_git import commit, git, write

MAIN = "%include heat.ini\n%include gantry.ini\n\n[board main]\nchip = LPC1768\n"
HEAT = """\
[heater bed]
drive = main.P2.7
thermometer = main.P0.23, NTC 100k B3950
lowest = 5 °C
highest = 110 °C

[fan nozzle]
drive = main.P2.4
runs with = heater bed, from 30 °C
"""
GANTRY = "[axis x]\ntop speed = 300 mm/s\ntop acceleration = 3000 mm/s²\n"
FILES = {"main.ini": MAIN, "heat.ini": HEAT, "gantry.ini": GANTRY}


def states_of(folder: Path, main: str = "main.ini") -> States:
    return States(WorkingTree(folder), main, Project(), folder)


def made(folder: Path, since: str, until: str | None = None, main: str = "main.ini") -> Mapping[str, Change]:
    """The changes by their addresses, with commits."""
    states = states_of(folder, main)
    before = states.at(since)
    after = states.working_tree() if until is None else states.at(until)
    changes = compare_machines(states.subject(before), states.subject(after))
    return {one.address: one for one in attribute(changes, states, before.revision, after.revision)}


def ids(change: Change) -> list[str]:
    return [one.id for one in change.commits]


@pytest.fixture
def begun(folder: Path) -> str:
    return commit(folder, "begin", FILES)


def edit(folder: Path, name: str, old: str, new: str) -> str:
    """Replace text in a file and commit it."""
    text = (folder / name).read_text("utf-8")
    assert old in text
    return commit(folder, f"{old} to {new}", {name: text.replace(old, new)})


def test_every_commit_that_changed_a_value_the_oldest_first(folder: Path, begun: str) -> None:
    one = edit(folder, "heat.ini", "110", "120")
    speed = edit(folder, "gantry.ini", "300 mm", "350 mm")
    other = edit(folder, "heat.ini", "120", "115")
    found = made(folder, begun)
    assert ids(found["heater bed:highest"]) == [one, other]
    assert ids(found["axis x:top speed"]) == [speed]
    assert not any(change.uncommitted for change in found.values())
    summary = found["axis x:top speed"].commits[0]
    assert (summary.summary, summary.author) == ("300 mm to 350 mm", "Odile")


def test_what_is_not_committed(folder: Path, begun: str) -> None:
    one = edit(folder, "heat.ini", "110", "120")
    write(folder, {"heat.ini": HEAT.replace("110", "125"), "gantry.ini": GANTRY.replace("3000", "4000")})
    found = made(folder, begun)
    assert (ids(found["heater bed:highest"]), found["heater bed:highest"].uncommitted) == ([one], True)
    acceleration = found["axis x:top acceleration"]
    assert (ids(acceleration), acceleration.uncommitted) == ([], True)


def test_what_is_staged(folder: Path, begun: str) -> None:
    """The index against HEAD; what is on disk does not count."""
    write(folder, {"heat.ini": HEAT.replace("110", "125")})
    git(folder, "add", "heat.ini")
    write(folder, {"heat.ini": HEAT.replace("110", "130"), "gantry.ini": GANTRY.replace("3000", "4000")})
    states = states_of(folder)
    before, after = states.at(begun), states.staged()
    changes = compare_machines(states.subject(before), states.subject(after))
    (change,) = attribute(changes, states, before.revision, after.revision)
    assert (change.address, change.uncommitted, change.commits) == ("heater bed:highest", True, ())


def test_moves_and_comments_make_nothing(folder: Path, begun: str) -> None:
    one = edit(folder, "heat.ini", "110", "120")
    edit(folder, "heat.ini", "highest =", "; as hot as the glue stands\nhighest =")
    git(folder, "mv", "heat.ini", "warm.ini")
    edit(folder, "main.ini", "heat.ini", "warm.ini")
    assert ids(made(folder, begun)["heater bed:highest"]) == [one]


def test_a_renamed_section(folder: Path, begun: str) -> None:
    """The renaming is one commit; values inside are made by those that changed them, under either name."""
    before = edit(folder, "heat.ini", "110", "120")
    renaming = edit(folder, "heat.ini", "heater bed", "heater plate")
    after = edit(folder, "heat.ini", "120", "125")
    found = made(folder, begun)
    assert ids(found["heater plate"]) == [renaming]
    assert ids(found["heater plate:highest"]) == [before, after]


def test_a_renamed_setting(folder: Path, begun: str) -> None:
    renaming = edit(folder, "gantry.ini", "top acceleration", "highest acceleration")
    edit(folder, "gantry.ini", "300 mm", "350 mm")
    assert ids(made(folder, begun)["axis x:highest acceleration"]) == [renaming]


def test_whole_sections(folder: Path, begun: str) -> None:
    """All that built one, and the one that took it out."""
    gone = edit(folder, "heat.ini", HEAT[HEAT.index("\n[fan nozzle]") :], "")
    came = edit(folder, "gantry.ini", GANTRY, f"{GANTRY}\n[fan lid]\ndrive = main.P1.20\n")
    more = edit(folder, "gantry.ini", "P1.20\n", "P1.20\nruns with = heater bed, from 40 °C\n")
    found = made(folder, begun)
    assert ids(found["fan nozzle"]) == [gone]
    assert ids(found["fan lid"]) == [came, more]


def test_an_include_that_brings_another_value(folder: Path) -> None:
    """Nothing is written otherwise in what was included all the time: the directive made the change."""
    begun = commit(folder, "begin", {**FILES, "tuned.ini": "[axis x]\ntop speed = 200 mm/s\n"})
    edit(folder, "heat.ini", "110", "120")
    including = edit(folder, "main.ini", "%include gantry.ini\n", "%include gantry.ini\n%include tuned.ini\n")
    assert ids(made(folder, begun)["axis x:top speed"]) == [including]


def test_two_includes_that_change_places(folder: Path) -> None:
    files = {**FILES, "main.ini": MAIN.replace("%include g", "%include tuned.ini\n%include g")}
    begun = commit(folder, "begin", {**files, "tuned.ini": "[axis x]\ntop speed = 200 mm/s\n"})
    edit(folder, "heat.ini", "110", "120")
    swapped = edit(
        folder,
        "main.ini",
        "%include tuned.ini\n%include gantry.ini",
        "%include gantry.ini\n%include tuned.ini",
    )
    assert ids(made(folder, begun)["axis x:top speed"]) == [swapped]


def test_branches(folder: Path, begun: str) -> None:
    """Both sides of a merge made something; the merge only what neither had."""
    git(folder, "checkout", "--quiet", "-b", "side")
    side = edit(folder, "gantry.ini", "3000", "4000")
    git(folder, "checkout", "--quiet", "work")
    work = edit(folder, "heat.ini", "110", "115")
    git(folder, "merge", "--quiet", "--no-commit", "side")
    merged = edit(folder, "gantry.ini", "300 mm", "250 mm")
    found = made(folder, begun)
    assert ids(found["axis x:top acceleration"]) == [side]
    assert ids(found["heater bed:highest"]) == [work]
    assert ids(found["axis x:top speed"]) == [merged]


def test_revisions_of_which_neither_comes_from_the_other(folder: Path, begun: str) -> None:
    """What only one of them has made the difference, too: the commits that git log A...B shows."""
    git(folder, "checkout", "--quiet", "-b", "side")
    side = edit(folder, "gantry.ini", "3000", "4000")
    git(folder, "checkout", "--quiet", "work")
    work = edit(folder, "heat.ini", "110", "115")
    found = made(folder, "side", "work")
    assert ids(found["axis x:top acceleration"]) == [side]
    assert ids(found["heater bed:highest"]) == [work]


def test_backwards(folder: Path, begun: str) -> None:
    one = edit(folder, "heat.ini", "110", "120")
    assert ids(made(folder, "HEAD", begun)["heater bed:highest"]) == [one]


def test_a_main_file_that_was_renamed(folder: Path, begun: str) -> None:
    one = edit(folder, "main.ini", "LPC1768", "LPC1769")
    git(folder, "mv", "main.ini", "machine.ini")
    commit(folder, "rename", {})
    other = edit(folder, "machine.ini", "LPC1769", "LPC1768\nlink = /dev/serial/by-id/usb-x")
    found = made(folder, begun, main="machine.ini")
    assert ids(found["board main:link"]) == [other]
    assert one not in ids(found["board main:link"])


def test_a_file_behind_a_link(folder: Path) -> None:
    write(folder, {"kept/heat.ini": HEAT})
    (folder / "heat.ini").symlink_to("kept/heat.ini")
    begun = commit(folder, "begin", {"main.ini": MAIN, "gantry.ini": GANTRY})
    one = edit(folder, "kept/heat.ini", "110", "120")
    assert ids(made(folder, begun)["heater bed:highest"]) == [one]


def test_other_machines_of_the_repository_make_nothing(folder: Path) -> None:
    begun = commit(folder, "begin", {**FILES, "other.ini": HEAT})
    edit(folder, "other.ini", "110", "90")
    one = edit(folder, "heat.ini", "110", "120")
    assert ids(made(folder, begun)["heater bed:highest"]) == [one]


def test_nothing_changed(folder: Path, begun: str) -> None:
    states = states_of(folder)
    assert attribute((), states, states.at(begun).revision, states.working_tree().revision) == ()
