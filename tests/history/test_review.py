"""All that changed between two states, in repositories that real git made."""

from __future__ import annotations

from pathlib import Path

from cfgaudit.audit import audit_text
from cfgaudit.history.change import Review
from cfgaudit.history.review import review
from cfgaudit.history.states.states import States
from cfgaudit.project import Project
from cfgaudit.working_tree import WorkingTree
from history.machines import STORK, edited
from history.real_git import commit, git, write


def states(folder: Path) -> States:
    return States(WorkingTree(folder), "stork.ini", Project(), folder)


def between(folder: Path, before: str, after: str | None = None) -> Review:
    made = states(folder)
    return review(made, made.at(before), made.working_tree() if after is None else made.at(after))


def by_address(found: Review) -> dict[str, tuple[list[str], bool]]:
    """The ids of each change's commits, and whether any of it is uncommitted."""
    return {one.address: ([each.id for each in one.commits], one.uncommitted) for one in found.changes}


def test_of_one_state_nothing_differs(folder: Path) -> None:
    commit(folder, "all", STORK)
    found = between(folder, "HEAD")
    assert (found.changes, found.new, found.gone) == ((), (), ())
    assert found.before.commit == git(folder, "rev-parse", "HEAD")
    assert found.after.commit is None


def test_the_commits_are_those_of_git_log(folder: Path) -> None:
    """``git log -S`` finds the commits that change how often a text occurs: here the two of the value."""
    start = commit(folder, "all", STORK)
    finer = edited(STORK, ("microsteps = 16", "microsteps = 32"))
    commit(folder, "finer", finer)
    commit(folder, "a note", edited(finer, ("; a printer", "; the printer")))
    warmer = edited(finer, ("highest = 110 °C", "highest = 112 °C"))
    commit(folder, "warmer", warmer)
    found = by_address(between(folder, start, "HEAD"))
    assert set(found) == {"motor x:microsteps", "heater bed:highest"}
    for address, text in {"motor x:microsteps": "microsteps = 32", "heater bed:highest": "112 °C"}.items():
        logged = git(folder, "log", "--format=%H", "-S", text, f"{start}..HEAD").split()
        assert found[address] == (logged, False)


def test_what_is_on_disk_alone_is_in_no_commit(folder: Path) -> None:
    commit(folder, "all", STORK)
    write(folder, edited(STORK, ("microsteps = 16", "microsteps = 32")))
    assert by_address(between(folder, "HEAD")) == {"motor x:microsteps": ([], True)}


def test_findings_come_go_and_stand(folder: Path) -> None:
    """One fault is mended, another comes; all others stay, though their lines move."""
    faulty = edited(
        STORK,
        ("homes to = -5 mm", "homes to = -9 mm"),
        ("lowest = 0 °C", "lowest = 0 °C\nlowest = 0 °C"),
    )
    commit(folder, "all", faulty)
    mended = edited(
        faulty, ("homes to = -9 mm", "homes to = -5 mm"), ("[heater nozzle]", "; hot\n[heater nozzle]")
    )
    write(folder, edited(mended, ("corner = 450, 450", "corner = 490, 450")))
    found = between(folder, "HEAD")
    assert [one.rule for one in found.gone] == ["home-outside-travel"]
    assert [one.rule for one in found.new] == ["mesh-outside-travel"]
    assert found.standing == len(audit_text(faulty).findings.findings) - 1 > 0
    told = {one.address: [each.rule for each in one.findings] for one in found.changes}
    assert told["mesh bed:high corner"] == ["mesh-outside-travel"]


def test_consequences_are_told(folder: Path) -> None:
    """400 × 16 ÷ 40 and 400 × 32 ÷ 40."""
    commit(folder, "all", STORK)
    write(folder, edited(STORK, ("microsteps = 16", "microsteps = 32")))
    (one,) = between(folder, "HEAD").changes
    moved = {each.fact: (each.before, each.after) for each in one.consequences}
    assert moved["axis.x.steps_per_mm"] == (160.0, 320.0)
