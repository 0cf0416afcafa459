"""Marks are tags that git itself makes, lists, reads and carries."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cfgaudit.history.change import Mark
from cfgaudit.history.git.repository import Repository
from cfgaudit.history.states.mark_message import checked
from cfgaudit.history.states.marks import make_mark, nearest_mark, read_marks
from cfgaudit.source import SourceError
from history.real_git import commit, git

LATE = {"GIT_COMMITTER_DATE": "2026-11-10T23:30:00+0900"}
"""In Greenwich it is still the afternoon, and in the year's local time the 10th of November."""


def mark(folder: Path, commit: str, note: str, *measured: str) -> Mark:
    return make_mark(Repository(folder), commit, checked(note, measured))


def names(marks: tuple[Mark, ...]) -> list[str]:
    return [one.name for one in marks]


def test_a_mark_is_an_annotated_tag(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(*LATE.copy().popitem())
    first = commit(folder, "first", {"m.ini": ""})
    made = mark(folder, first, "a vase\n\n14 hours", "ringing=0.08 mm")
    assert git(folder, "cat-file", "-t", made.name) == "tag"
    assert git(folder, "rev-parse", f"{made.name}^{{commit}}") == first == made.commit
    form = "%(refname:short)|%(taggername)|%(taggerdate:iso-strict)|%(contents:subject)|%(trailers:only)"
    assert git(
        folder, "for-each-ref", "--format=" + form.replace("trailers", "contents:trailers"), "refs/tags"
    ) == ("good/2026-11-10|Odile|2026-11-10T23:30:00+09:00|a vase|Measured: ringing=0.08 mm\n")
    assert git(folder, "fsck", "--strict") == ""
    assert read_marks(Repository(folder)) == (made,)
    assert (made.author, made.note, made.measured) == (
        "Odile",
        "a vase\n\n14 hours",
        (("ringing", "0.08 mm"),),
    )


def test_names_on_the_same_day(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(*LATE.copy().popitem())
    first = commit(folder, "first", {"m.ini": ""})
    git(folder, "tag", "good/2026-11-10.2/deeper", "HEAD")
    made = [mark(folder, first, "fine").name for _ in range(10)]
    assert made == ["good/2026-11-10", *(f"good/2026-11-10.{number}" for number in range(3, 12))]
    assert names(read_marks(Repository(folder))) == made[::-1]
    assert git(folder, "tag", "--list", "good/*").count("\n") == 10


def test_a_tag_in_the_way_is_told(folder: Path) -> None:
    first = commit(folder, "first", {"m.ini": ""})
    git(folder, "tag", "good")
    with pytest.raises(SourceError, match=r"a tag named good stands in the way.*: rename it"):
        mark(folder, first, "fine")


def test_what_others_tag(folder: Path) -> None:
    """Lightweight tags, and tags on what is no commit, are no marks; a tag of a tag marks its commit."""
    first = commit(folder, "first", {"m.ini": "a = 1\n"})
    git(folder, "tag", "good/light")
    git(folder, "tag", "-m", "a blob", "good/blob", "HEAD:m.ini")
    git(folder, "tag", "-m", "a tree", "good/tree", "HEAD^{tree}")
    git(folder, "tag", "-m", "elsewhere", "best/2026-01-01")
    assert read_marks(Repository(folder)) == ()
    git(folder, "tag", "-m", "plain", "inner")
    git(folder, "tag", "-m", "outer\n\nMeasured: a=b", "good/outer", "inner")
    git(folder, "tag", "-m", "by hand", "-m", "Measured: a=b", "good/by-hand")
    found = {one.name: one for one in read_marks(Repository(folder))}
    assert set(found) == {"good/outer", "good/by-hand"}
    assert all(one.commit == first and one.measured == (("a", "b"),) for one in found.values())
    assert found["good/outer"].note == "outer"


def test_newest_first_and_what_a_commit_holds(folder: Path) -> None:
    """The order is that of git's own ``--sort=-taggerdate``, what is held that of ``--merged``."""
    ids = [commit(folder, str(number), {"m.ini": f"a = {number}\n"}) for number in range(4)]
    for day, at in ((3, 0), (1, 1), (2, 2), (4, 3)):
        date = f"2026-11-0{day}T10:00:00Z"
        git(folder, "tag", "-m", "x", f"good/2026-11-0{day}", ids[at], GIT_COMMITTER_DATE=date)
    repository = Repository(folder)
    listed = ("for-each-ref", "--sort=-taggerdate", "--format=%(refname:lstrip=2)")
    assert names(read_marks(repository)) == git(folder, *listed, "refs/tags/good/").split("\n")
    held = read_marks(repository, ids[2])
    assert names(held) == git(folder, *listed, f"--merged={ids[2]}", "refs/tags/good/").split("\n")
    assert nearest_mark(repository, held).commit == ids[2], "marked earlier than the first, but after it"


def test_after_a_merge_the_newest_of_both_sides(folder: Path) -> None:
    base = commit(folder, "base", {"m.ini": ""})
    git(folder, "checkout", "-q", "-b", "side")
    side = commit(folder, "side", {"side.ini": ""})
    git(folder, "checkout", "-q", "work")
    ours = commit(folder, "ours", {"ours.ini": ""})
    git(folder, "merge", "-q", "--no-edit", "side")
    for day, one in ((1, ours), (2, side), (3, base)):
        git(folder, "tag", "-m", "x", f"good/{day}", one, GIT_COMMITTER_DATE=f"2026-11-0{day}T10:00:00Z")
    repository = Repository(folder)
    marks = read_marks(repository, repository.head())
    assert names(marks) == ["good/3", "good/2", "good/1"]
    assert nearest_mark(repository, marks).name == "good/2"


def test_marks_travel_with_push_and_fetch(folder: Path, tmp_path: Path) -> None:
    first = commit(folder, "first", {"m.ini": ""})
    git(tmp_path, "init", "-q", "--bare", "hub.git")
    git(folder, "remote", "add", "origin", "../hub.git")
    git(folder, "push", "-q", "origin", "work")
    made = mark(folder, first, "a vase", "a=b")
    git(folder, "push", "-q", "origin", made.name)
    git(tmp_path, "clone", "-q", "--branch=work", "hub.git", "other")
    assert read_marks(Repository(tmp_path / "other")) == (made,)
    again = mark(tmp_path / "other", first, "twice")
    git(tmp_path / "other", "push", "-q", "--tags")
    git(folder, "fetch", "-q", "--tags")
    assert set(read_marks(Repository(folder))) == {made, again}


def test_nothing_signs_and_no_editor_opens(folder: Path, tmp_path: Path) -> None:
    """With the same configuration git itself asks the signer: the trap is set."""
    first = commit(folder, "first", {"m.ini": ""})
    trap = tmp_path / "trap"
    trap.write_text(f"#!/bin/sh\ntouch {tmp_path}/sprung\nexit 1\n")
    trap.chmod(0o755)
    for key, value in {
        "tag.gpgSign": "true",
        "tag.forceSignAnnotated": "true",
        "commit.gpgSign": "true",
        "gpg.program": str(trap),
        "core.editor": str(trap),
        "user.signingKey": "x",
    }.items():
        git(folder, "config", key, value)
    hook = folder / ".git" / "hooks" / "reference-transaction"
    hook.parent.mkdir(exist_ok=True)
    hook.write_text(trap.read_text())
    hook.chmod(0o755)
    assert mark(folder, first, "fine").commit == first
    assert not (tmp_path / "sprung").exists()
    with pytest.raises(subprocess.CalledProcessError):
        git(folder, "tag", "-m", "x", "signed")
    assert (tmp_path / "sprung").exists()


def test_nobody_is_not_let_mark(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = commit(folder, "first", {"m.ini": ""})
    for name in ("GIT_COMMITTER_NAME", "GIT_COMMITTER_EMAIL", "EMAIL"):
        monkeypatch.delenv(name, raising=False)
    git(folder, "config", "user.useConfigOnly", "true")
    with pytest.raises(SourceError, match=r"user\.name .* user\.email") as caught:
        mark(folder, first, "fine")
    assert "\n" not in str(caught.value)
    assert git(folder, "tag") == ""


def test_another_one_takes_the_name_meanwhile(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(*LATE.copy().popitem())
    first = commit(folder, "first", {"m.ini": ""})
    repository = Repository(folder)
    run = repository.run

    def run_late(command: str, *words: str, data: bytes | None = None) -> bytes:
        if command == "update-ref" and not git(folder, "tag"):
            git(folder, "tag", "good/2026-11-10")
        return run(command, *words, data=data)

    monkeypatch.setattr(repository, "run", run_late)
    assert make_mark(repository, first, checked("fine")).name == "good/2026-11-10.2"
    assert git(folder, "rev-parse", "good/2026-11-10") == first, "theirs is left as it is"


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    note=st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\r"), max_size=60).filter(
        str.strip
    ),
    values=st.lists(st.from_regex(r"[a-zµ ]{1,8}x=[^\s\0]{1,9}", fullmatch=True), max_size=3),
)
def test_notes_and_values_come_back(
    tmp_path_factory: pytest.TempPathFactory, only_the_tests_git: None, note: str, values: list[str]
) -> None:
    folder = tmp_path_factory.mktemp("marked")
    git(folder, "init", "-q")
    first = commit(folder, "first", {})
    values = [one for one in values if "".join(one.splitlines()) == one]
    made = mark(folder, first, note, *values)
    assert read_marks(Repository(folder)) == (made,)
    assert made.note == note.strip()
    assert [f"{name}={value}" for name, value in made.measured] == [one.strip() for one in values]
