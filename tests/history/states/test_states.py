"""The states of one machine: each has the bytes that ``git show`` gives, wherever the main file was then."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

from cfgaudit.history.states.snapshot import Snapshot
from cfgaudit.history.states.states import States
from cfgaudit.project import Project
from cfgaudit.source import SourceError
from cfgaudit.working_tree import WorkingTree
from history.real_git import commit, git, write

MAIN = "%include parts/*.ini\n\n[plate heater]\nhighest temp = 110\nlowest temp = 5\n\n[gantry]\nspan = 300\n"
FAN = "[fan left]\npin = PA1\n"


def states_of(folder: Path, main: str = "main.ini", allowed: tuple[str, ...] = ()) -> States:
    return States(WorkingTree(folder, allowed), main, Project(), folder, allowed=allowed)


def values(states: States, snapshot: Snapshot) -> dict[str, str]:
    settings = states.subject(snapshot).tree.settings()
    return {f"{one.section}:{one.name}": one.value for one in settings}


@pytest.fixture
def machine(folder: Path) -> Path:
    """Three commits, then something staged, then something else on disk."""
    commit(folder, "one", {"main.ini": MAIN, "parts/fans.ini": FAN})
    commit(folder, "two", {"main.ini": MAIN.replace("110", "115")})
    commit(folder, "three", {"main.ini": MAIN.replace("110", "120")})
    write(folder, {"main.ini": MAIN.replace("110", "125")})
    git(folder, "add", ".")
    write(folder, {"main.ini": MAIN.replace("110", "130")})
    return folder


def highest(states: States, snapshot: Snapshot) -> str:
    return values(states, snapshot)["plate heater:highest temp"]


def test_every_state_has_its_own_bytes(machine: Path) -> None:
    states = states_of(machine)
    for back in range(3):
        at = states.at(f"HEAD~{back}")
        for path in ("main.ini", "parts/fans.ini"):
            shown = git(machine, "show", f"HEAD~{back}:{path}") + "\n"
            assert at.source.read(path).decode() == shown
    told = [highest(states, states.at(f"HEAD~{back}")) for back in range(3)]
    assert [*told, highest(states, states.staged()), highest(states, states.working_tree())] == [
        *("120", "115", "110"),
        *("125", "130"),
    ]


def test_labels_dates_and_marks(machine: Path) -> None:
    git(
        machine, "tag", "-m", "a vase", "good/2026-11-10", "HEAD~1", GIT_COMMITTER_DATE="2026-11-10T09:00:00Z"
    )
    git(machine, "tag", "plain", "HEAD~2")
    states = states_of(machine)
    marked = git(machine, "rev-parse", "HEAD~1")
    told = {
        name: states.at(name).revision for name in ("good/2026-11-10", "work", "plain", "HEAD", marked[:9])
    }
    assert [one.label for one in told.values()] == [
        "good/2026-11-10",
        "work",
        "plain",
        f"commit {git(machine, 'rev-parse', 'HEAD')[:7]}",
        f"commit {marked[:7]}",
    ]
    assert states.at("refs/tags/good/2026-11-10").revision == told["good/2026-11-10"]
    assert {name for name, one in told.items() if one.mark} == {"good/2026-11-10", marked[:9]}
    for name, one in told.items():
        form = "%(taggerdate:iso-strict)" if one.mark else "%(authordate:iso-strict)"
        ref = (
            "refs/tags/good/2026-11-10"
            if one.mark
            else "refs/tags/plain"
            if name == "plain"
            else "refs/heads/work"
        )
        assert one.date is not None
        shown = git(machine, "for-each-ref", f"--format={form}", ref)
        assert one.date.isoformat().replace("+00:00", "Z") == shown.replace("+00:00", "Z")
        assert one.commit == git(machine, "rev-parse", f"{name}^{{commit}}")
    assert (states.working_tree().revision.label, states.staged().revision.label) == (
        "working tree",
        "git index",
    )


def test_a_branch_called_like_a_mark(machine: Path) -> None:
    """git prefers the tag (gitrevisions(7)), and so do we."""
    git(machine, "tag", "-m", "a vase", "good/2026-11-10", "HEAD~1")
    git(machine, "branch", "good/2026-11-10", "HEAD~2")
    revision = states_of(machine).at("good/2026-11-10").revision
    assert (revision.label, revision.commit) == ("good/2026-11-10", git(machine, "rev-parse", "HEAD~1"))
    other = states_of(machine).at("refs/heads/good/2026-11-10").revision
    assert other.commit == git(machine, "rev-parse", "HEAD~2")


def test_each_source_is_audited_once(machine: Path) -> None:
    states = states_of(machine)
    head = states.at("HEAD")
    assert states.audit(head) is states.audit(states.at("work"))
    assert states.subject(head) is states.audit(head).subject
    assert states.audit(states.staged()) is states.audit(states.staged())
    assert states.audit(states.working_tree()) is states.audit(states.working_tree())
    whole = states.audit(head), states.audit(states.staged()), states.audit(states.working_tree())
    assert len(set(map(id, whole))) == 3
    other = Snapshot(head.revision, WorkingTree(machine), "main.ini")
    assert states.audit(other) is not states.audit(head), "another source under the same label"


def rename(folder: Path, old: str, new: str, **replaced: str) -> None:
    """Rename a file, edit it, and commit both."""
    (folder / new).parent.mkdir(parents=True, exist_ok=True)
    git(folder, "mv", old, new)
    text = (folder / new).read_text()
    for before, after in replaced.items():
        text = text.replace(before.strip("_"), after)
    (folder / new).write_text(text)
    commit(folder, f"{old} to {new}", {})


def test_a_main_file_that_was_renamed_and_moved(folder: Path) -> None:
    """As ``git log --follow`` has it: from the top to a folder, with its parts, and on to another name."""
    commit(folder, "one", {"machine.ini": MAIN, "parts/fans.ini": FAN})
    git(folder, "mv", "parts", "aside")
    (folder / "config").mkdir()
    git(folder, "mv", "aside", "config/parts")
    rename(folder, "machine.ini", "config/machine.ini", _110="115")
    rename(folder, "config/machine.ini", "config/main.ini", _115="120")
    followed = git(folder, "log", "--follow", "--format=", "--name-only", "--", "config/main.ini")
    assert [path for path in followed.split("\n") if path] == [
        "config/main.ini",
        "config/machine.ini",
        "machine.ini",
    ]
    states = states_of(folder / "config")
    told = [states.at(f"HEAD~{back}") for back in range(3)]
    assert [one.main for one in told] == ["main.ini", "machine.ini", "machine.ini"]
    assert [highest(states, one) for one in told] == ["120", "115", "110"]
    assert all(values(states, one)["fan left:pin"] == "PA1" for one in told)


def test_renamed_several_times_with_most_of_it_rewritten(folder: Path) -> None:
    """First and last have less than half in common, so only the steps between them lead there."""
    lines = [f"[part {number}]\nspan = {number}\n" for number in range(40)]
    commit(folder, "0", {"m0.ini": "".join(lines), "unrelated.ini": "[z]\na = 1\n"})
    for step in range(1, 5):
        git(folder, "mv", f"m{step - 1}.ini", f"m{step}.ini")
        lines[(step - 1) * 10 : step * 10] = [
            f"[other {step} {one}]\nwidth = {one * 7}\n" for one in range(10)
        ]
        commit(folder, str(step), {f"m{step}.ini": "".join(lines)})
    direct = git(folder, "diff", "--find-renames", "--name-status", "HEAD~4", "HEAD")
    assert "R" not in direct
    states = states_of(folder, "m4.ini")
    assert [states.at(f"HEAD~{back}").main for back in range(5)] == [f"m{4 - back}.ini" for back in range(5)]


def test_the_name_on_another_branch(folder: Path) -> None:
    commit(folder, "one", {"first.ini": MAIN})
    git(folder, "branch", "side")
    rename(folder, "first.ini", "main.ini")
    commit(folder, "rewritten", {"main.ini": "[all]\nnew = 1\n"})
    git(folder, "checkout", "-q", "side")
    rename(folder, "first.ini", "other.ini")
    git(folder, "checkout", "-q", "work")
    assert states_of(folder).at("side").main == "other.ini"


def test_a_rename_that_is_staged_and_one_that_is_not(folder: Path) -> None:
    commit(folder, "one", {"machine.ini": MAIN})
    (folder / "machine.ini").rename(folder / "main.ini")
    with pytest.raises(SourceError, match=r"main\.ini is not in commit .*: git add --all"):
        states_of(folder).at("HEAD")
    git(folder, "add", "--all")
    assert states_of(folder).at("HEAD").main == "machine.ini"


def test_a_main_file_that_did_not_exist_yet(folder: Path) -> None:
    commit(folder, "none", {"README": "to come\n"})
    commit(folder, "one", {"main.ini": MAIN})
    with pytest.raises(SourceError, match=r"main\.ini is not in commit .*: name a revision") as caught:
        states_of(folder).at("HEAD~1")
    assert "\n" not in str(caught.value)


def test_what_may_be_read_outside_moves_along(folder: Path) -> None:
    commit(folder, "one", {"bay/main.ini": "%include ../shared/fans.ini\n", "shared/fans.ini": FAN})
    rename(folder, "bay/main.ini", "hall/bay/main.ini")
    commit(folder, "path", {"hall/bay/main.ini": "%include ../../shared/fans.ini\n"})
    states = states_of(folder / "hall" / "bay", allowed=("../../shared/*.ini",))
    assert [len(values(states, states.at(f"HEAD~{back}"))) for back in (0, 2)] == [1, 1]


def test_an_include_that_was_missing_then(folder: Path) -> None:
    commit(folder, "one", {"main.ini": "%include parts/fans.ini\n[gantry]\nspan = 1\n"})
    commit(folder, "two", {"parts/fans.ini": FAN})
    states = states_of(folder)
    faults = states.subject(states.at("HEAD~1")).tree.faults
    assert [one.kind for one in faults] == ["include-missing"]
    assert values(states, states.at("HEAD~1")) == {"gantry:span": "1"}
    assert values(states, states.at("HEAD"))["fan left:pin"] == "PA1"


def test_links_in_a_commit(folder: Path) -> None:
    """A main file and an included one that are links; and one that leads out of the repository."""
    write(folder, {"variants/a.ini": MAIN, "fans/left.ini": FAN})
    (folder / "parts").symlink_to("fans")
    (folder / "main.ini").symlink_to("variants/a.ini")
    commit(folder, "one", {})
    states = states_of(folder)
    assert values(states, states.at("HEAD")) == values(states, states.working_tree())
    assert "fan left:pin" in values(states, states.at("HEAD"))
    (folder / "main.ini").unlink()
    (folder / "main.ini").symlink_to("/etc/hostname")
    commit(folder, "out", {})
    with pytest.raises(SourceError, match=r"main\.ini is a link to /etc/hostname, outside"):
        states.subject(states_of(folder).at("HEAD"))


def test_names_that_are_no_text(folder: Path) -> None:
    odd = os.fsdecode(b"m\xffn.ini")
    (folder / odd).write_text(MAIN)
    commit(folder, "one", {})
    assert highest(states_of(folder, odd), states_of(folder, odd).at("HEAD")) == "110"
    git(folder, "mv", odd, "main.ini")
    commit(folder, "two", {})
    assert states_of(folder).at("HEAD~1").main == odd


@pytest.mark.parametrize(
    ("revision", "what"),
    [
        ("", "give a branch"),
        ("--output=x", "give a branch"),
        ("-rf", "give a branch"),
        ("HEAD~1..HEAD", "a range"),
        ("HEAD~1...HEAD", "a range"),
        ("^HEAD", "give a branch"),
        ("HEAD^@", "give a branch"),
        ("HEAD^!", "give a branch"),
        ("main.ini", "give a branch"),
        ("HEAD:main.ini", "give a branch"),
        ("HEAD^{tree}", "give a branch"),
        ("blob", "give a branch"),
        ("no\nline", "give a branch"),
        ("no\0thing", "give a branch"),
        ("\udcff", "give a branch"),
        ("nowhere", "give a branch"),
        ("its id", "give a branch"),
        ("0" * 40, "give a branch"),
        ("HEAD~99", "give a branch"),
    ],
)
def test_what_names_no_commit(machine: Path, revision: str, what: str) -> None:
    git(machine, "tag", "-m", "x", "blob", "HEAD:main.ini")
    revision = git(machine, "rev-parse", "HEAD:main.ini") if revision == "its id" else revision
    with pytest.raises(SourceError, match="names no commit") as caught:
        states_of(machine).at(revision)
    assert what in str(caught.value)
    assert "\n" not in str(caught.value)
    assert not (machine / "x").exists()


def test_the_last_mark(machine: Path) -> None:
    states = states_of(machine)
    with pytest.raises(
        SourceError, match=r"no commit of this branch is marked .*: mark one after a good print"
    ):
        states.last_mark()
    assert states.find_last_mark() is None
    git(machine, "tag", "-m", "x", "good/2026-11-10", "HEAD~1", GIT_COMMITTER_DATE="2026-11-10T09:00:00Z")
    git(machine, "tag", "-m", "x", "good/2026-11-20", "HEAD~2", GIT_COMMITTER_DATE="2026-11-20T09:00:00Z")
    assert states_of(machine).last_mark().name == "good/2026-11-10"
    git(machine, "checkout", "-q", "--orphan", "other")
    commit(machine, "other", {})
    with pytest.raises(SourceError, match=r"others are, last good/2026-11-20: name that one"):
        states_of(machine).last_mark()


def test_no_commit_yet(folder: Path) -> None:
    write(folder, {"main.ini": MAIN})
    states = states_of(folder)
    assert states.repository.head() is None
    assert states.marks() == ()
    for ask in (states.last_mark, lambda: states.at("HEAD")):
        with pytest.raises(SourceError, match="git commit"):
            ask()


def test_a_detached_head_and_a_merge(machine: Path) -> None:
    git(machine, "commit", "-qam", "four")
    git(machine, "checkout", "-q", "-b", "side", "HEAD~1")
    commit(machine, "fan", {"parts/right.ini": "[fan right]\npin = PA2\n"})
    git(machine, "merge", "-q", "--no-edit", "work")
    git(machine, "checkout", "-q", "--detach")
    git(machine, "tag", "-m", "x", "good/1", "work")
    states = states_of(machine)
    assert states.last_mark().name == "good/1"
    assert values(states, states.at("HEAD")) == values(states, states.working_tree())
    assert values(states, states.at("HEAD"))["fan right:pin"] == "PA2"


def test_a_linked_work_tree_and_a_submodule(machine: Path, tmp_path: Path) -> None:
    git(machine, "worktree", "add", "-q", "--detach", str(tmp_path / "linked"), "HEAD~1")
    linked = states_of(tmp_path / "linked")
    assert [highest(linked, one) for one in (linked.at("HEAD"), linked.staged(), linked.working_tree())] == [
        "115"
    ] * 3
    assert highest(linked, linked.at("work")) == "120"
    outer = tmp_path / "outer"
    outer.mkdir()
    git(outer, "init", "-q")
    allowed = ("-c", "protocol.file.allow=always")
    git(outer, *allowed, "submodule", "--quiet", "add", str(machine), "inner")
    inner = states_of(outer / "inner")
    assert highest(inner, inner.at("HEAD~1")) == "115"
    write(outer, {"main.ini": "%include inner/main.ini\n"})
    commit(outer, "with inner", {})
    around = states_of(outer)
    assert [one.kind for one in around.subject(around.at("HEAD")).tree.faults] == ["include-missing"]


def test_a_shallow_clone(machine: Path, tmp_path: Path) -> None:
    git(machine, "tag", "-m", "x", "good/2026-11-10", "HEAD~1")
    git(tmp_path, "clone", "-q", "--depth=1", f"file://{machine}", "shallow")
    states = states_of(tmp_path / "shallow")
    assert states.repository.shallow
    assert highest(states, states.at("HEAD")) == "120"
    for ask in (states.last_mark, lambda: states.at("HEAD~1"), lambda: states.at("good/2026-11-10")):
        with pytest.raises(SourceError, match="git fetch --unshallow --tags"):
            ask()
    git(tmp_path / "shallow", "fetch", "-q", "--unshallow", "--tags")
    assert states_of(tmp_path / "shallow").last_mark().name == "good/2026-11-10"


def test_a_mark_whose_commit_is_cut_off(machine: Path, tmp_path: Path) -> None:
    git(machine, "tag", "-m", "x", "good/2026-11-10", "HEAD~1")
    git(tmp_path, "clone", "-q", "--depth=1", f"file://{machine}", "shallow")
    shallow = tmp_path / "shallow"
    tag = git(machine, "cat-file", "tag", "good/2026-11-10") + "\n"
    name = git(shallow, "hash-object", "-t", "tag", "-w", "--stdin", "--literally", data=tag)
    (shallow / ".git/refs/tags/good").mkdir(parents=True)
    (shallow / ".git/refs/tags/good/2026-11-10").write_text(f"{name}\n")
    states = states_of(shallow)
    assert [one.name for one in states.marks()] == ["good/2026-11-10"]
    for ask in (states.last_mark, lambda: states.at("good/2026-11-10")):
        with pytest.raises(SourceError, match="git fetch --unshallow --tags"):
            ask()


def test_a_bare_repository_and_none(machine: Path, tmp_path: Path) -> None:
    git(tmp_path, "clone", "-q", "--bare", str(machine), "bare.git")
    bare = states_of(tmp_path / "bare.git")
    assert bare.repository.bare
    assert highest(bare, bare.at("HEAD")) == "120"
    (tmp_path / "none").mkdir()
    with pytest.raises(SourceError, match="lies in no git repository"):
        states_of(tmp_path / "none")


def test_another_owner(machine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """git's own test switch says that the owner is another one, as git has it in t0033."""
    monkeypatch.setenv("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1")
    with pytest.raises(subprocess.CalledProcessError):
        git(machine, "status")
    with pytest.raises(SourceError) as caught:
        states_of(machine)
    told = str(caught.value)
    assert f"git config --global --add safe.directory {machine}" in told
    assert f"another user ({machine.owner()})" in told
    assert "\n" not in told


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root may give files away")
def test_an_owner_without_a_name(machine: Path) -> None:
    for path in (machine, machine / ".git"):
        os.chown(path, 54321, 54321)
    with pytest.raises(SourceError, match=r"another user \(number 54321\)"):
        states_of(machine)
