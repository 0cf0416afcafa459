"""Acceptances as git has them: notes on a blob that coreutils can check the files with."""

from __future__ import annotations

import os
import subprocess
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.checks.finding import Severity
from cfgaudit.history.change import Change, ChangeKind, Side, Written
from cfgaudit.history.gating.acceptance import (
    NOTES,
    accept,
    content_text,
    read_acceptance,
    told,
)
from cfgaudit.history.git.repository import Repository
from cfgaudit.source import SourceError
from cfgaudit.syntax.document import Place

FILES = {"oven.ini": b"[oven]\nhottest = 300\n", "parts/fan.ini": b"[fan]\r\n", "../cfgaudit.toml": b""}


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")
    for who in ("AUTHOR", "COMMITTER"):
        monkeypatch.setenv(f"GIT_{who}_NAME", "Odile Marçais")
        monkeypatch.setenv(f"GIT_{who}_EMAIL", "odile@example.org")
        monkeypatch.setenv(f"GIT_{who}_DATE", "2026-11-25T14:30:00-03:30")
    folder = tmp_path / "repository"
    folder.mkdir()
    git(folder, "init", "--quiet")
    return folder


def git(folder: Path, *words: str, data: bytes | None = None) -> bytes:
    return subprocess.run(["git", *words], cwd=folder, check=True, capture_output=True, input=data).stdout


def objects(folder: Path) -> set[str]:
    return {str(path) for path in (folder / ".git").rglob("*") if path.is_file()}


def change(setting: str = "hottest", before: str | None = "240", after: str | None = "300") -> Change:
    here = Place("oven.ini", 2, 1, 2, 9)

    def side(value: str | None) -> Side | None:
        return (value and Side("oven", here, (Written("oven", setting, value, here, "hand"),))) or None

    kind = ChangeKind.CHANGED
    sides = (side(before), side(after))
    return Change(kind, "heat", Severity.DANGER, "oven", setting, "temp.max", None, "heater", *sides)


def test_an_acceptance_is_a_note_with_author_and_date(root: Path) -> None:
    repository, text = Repository(root), content_text("oven.ini", FILES)
    accept(repository, text, "A new sensor:\n\n# it stands 350 °C, says its maker", (change(),))
    blob = git(root, "hash-object", "--stdin", data=text).decode().strip()
    note = git(root, "notes", f"--ref={NOTES}", "show", blob).decode()
    assert note.startswith("A new sensor:\n\n# it stands 350 °C, says its maker\n")
    assert git(root, "cat-file", "blob", blob) == text
    read = read_acceptance(Repository(root), blob)
    assert read is not None
    (word,) = read.words
    assert word.reason == "A new sensor:\n\n# it stands 350 °C, says its maker"
    assert word.author == "Odile Marçais <odile@example.org>"
    assert word.date == datetime.fromisoformat("2026-11-25T14:30:00-03:30")
    assert (
        git(root, "log", "-1", "--format=%an %aI", NOTES).decode()
        == "Odile Marçais 2026-11-25T14:30:00-03:30\n"
    )
    assert read.covers(change())


def test_the_lines_after_the_reason_are_trailers(root: Path) -> None:
    """As ``git interpret-trailers`` reads them."""
    text = content_text("oven.ini", FILES)
    accept(Repository(root), text, "Meant.", (change(), change("coldest", None, "5")))
    blob = git(root, "hash-object", "--stdin", data=text).decode().strip()
    note = git(root, "notes", f"--ref={NOTES}", "show", blob)
    parsed = git(root, "interpret-trailers", "--parse", data=b"subject\n\n" + note).decode().splitlines()
    assert parsed == [
        "Accepted-change: oven:hottest: 240 → 300",
        "Accepted-change: oven:coldest: nothing → 5",
        "Accepted-by: Odile Marçais <odile@example.org>",
        "Accepted-on: 2026-11-25T14:30:00-03:30",
    ]


def test_accepting_again_loses_nothing(root: Path) -> None:
    repository, text = Repository(root), content_text("oven.ini", FILES)
    accept(repository, text, "first", (change(),))
    again = accept(repository, text, "second", (change("coldest"),))
    assert again == read_acceptance(repository, repository.id_of(text))
    assert [word.reason for word in again.words] == ["first", "second"]
    assert again.covers(change())
    assert again.covers(change("coldest"))
    assert not again.covers(change(after="301"))
    assert not again.covers(change(before="250"))


def test_reading_writes_nothing(root: Path) -> None:
    repository = Repository(root)
    before = objects(root)
    assert read_acceptance(repository, repository.id_of(content_text("oven.ini", FILES))) is None
    assert objects(root) == before


@pytest.mark.parametrize(
    "edited",
    [
        {**FILES, "oven.ini": b"[oven]\nhottest = 301\n"},
        {**FILES, "oven.ini": FILES["oven.ini"] + b"\n"},
        {**FILES, "parts/fan.ini": b"[fan]\n"},
        {**FILES, "parts/more.ini": b""},
        {path: data for path, data in FILES.items() if path != "../cfgaudit.toml"},
        {("parts/fun.ini" if path == "parts/fan.ini" else path): data for path, data in FILES.items()},
    ],
)
def test_an_edit_needs_a_new_one(root: Path, edited: dict[str, bytes]) -> None:
    repository = Repository(root)
    accept(repository, content_text("oven.ini", FILES), "meant", (change(),))
    assert read_acceptance(repository, repository.id_of(content_text("oven.ini", edited))) is None


def test_another_machine_with_equal_files_is_another_content() -> None:
    assert content_text("a/oven.ini", FILES) != content_text("b/oven.ini", FILES)


def test_it_survives_the_collection_of_garbage(root: Path) -> None:
    """Nothing refers to the blob itself; the note is found without it."""
    repository, text = Repository(root), content_text("oven.ini", FILES)
    accept(repository, text, "meant", (change(),))
    del repository
    git(root, "gc", "--quiet", "--prune=now")
    again = Repository(root)
    read = read_acceptance(again, again.id_of(text))
    assert read is not None
    assert read.covers(change())


def test_it_travels_by_push(root: Path, tmp_path: Path) -> None:
    text = content_text("oven.ini", FILES)
    accept(Repository(root), text, "meant", (change(),))
    other = tmp_path / "other"
    git(tmp_path, "init", "--quiet", "other")
    git(root, "push", "--quiet", str(other), NOTES)
    there = Repository(other)
    read = read_acceptance(there, there.id_of(text))
    assert read is not None
    assert read.covers(change())


def test_a_note_by_hand_accepts_nothing(root: Path) -> None:
    repository, text = Repository(root), content_text("oven.ini", FILES)
    content = repository.keep(text)
    git(root, "notes", f"--ref={NOTES}", "add", "-m", "fine by me\n\nAccepted-on: yesterday", content)
    read = read_acceptance(repository, content)
    assert read is not None
    assert not read.covers(change())
    assert accept(repository, text, "meant", (change(),)).covers(change())


def test_nothing_of_the_repository_runs(root: Path) -> None:
    """No hook, no editor, no signer."""
    trap = root / "trap"
    trap.write_text("#!/bin/sh\ntouch '" + str(root / "sprung") + "'\n")
    trap.chmod(0o755)
    hooks = root / ".git" / "hooks"
    hooks.mkdir(exist_ok=True)
    for name in ("reference-transaction", "pre-commit", "prepare-commit-msg", "commit-msg", "post-commit"):
        (hooks / name).write_bytes(trap.read_bytes())
        (hooks / name).chmod(0o755)
    for key in ("core.editor", "gpg.program", "core.fsmonitor", "core.hooksPath"):
        git(root, "config", key, str(hooks if key == "core.hooksPath" else trap))
    git(root, "config", "commit.gpgSign", "true")
    git(root, "config", "notes.rewriteRef", "refs/notes/*")
    accept(Repository(root), content_text("oven.ini", FILES), "meant", (change(),))
    assert not (root / "sprung").exists()


@pytest.mark.parametrize("reason", ["", " \n\t"])
def test_a_reason_is_required(root: Path, reason: str) -> None:
    before = objects(root)
    with pytest.raises(SourceError, match="needs a reason"):
        accept(Repository(root), content_text("oven.ini", FILES), reason, (change(),))
    assert objects(root) == before


def test_nobody_accepts(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for who in ("AUTHOR", "COMMITTER"):
        monkeypatch.delenv(f"GIT_{who}_NAME")
        monkeypatch.delenv(f"GIT_{who}_EMAIL")
    git(root, "config", "user.useConfigOnly", "true")
    before = objects(root)
    with pytest.raises(SourceError, match=r"^git does not know who accepts this: .*user\.name"):
        accept(Repository(root), content_text("oven.ini", FILES), "meant", (change(),))
    assert objects(root) == before


NAMES = st.text(st.characters(exclude_characters="\0/", exclude_categories=["Cs"]), min_size=1, max_size=12)


@settings(max_examples=25, deadline=None)
@given(
    files=st.dictionaries(
        NAMES.filter(lambda name: name not in (".", "..")), st.binary(max_size=40), max_size=4
    )
)
def test_coreutils_checks_the_files_by_it(
    tmp_path_factory: pytest.TempPathFactory, files: dict[str, bytes]
) -> None:
    """``sha256sum --check`` agrees, whatever the names hold (line feeds and backslashes too)."""
    folder = tmp_path_factory.mktemp("files")
    for name, data in files.items():
        (folder / name).write_bytes(data)
    text = content_text("oven\n.ini", files)
    assert text.count(b"\n") == len(files) + 1
    if files:
        command = ["sha256sum", "--check", "--strict", "--status"]
        assert subprocess.run(command, cwd=folder, input=text, check=False).returncode == 0


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=30), st.text(max_size=20))
def test_a_change_is_told_in_one_line(value: str, name: str) -> None:
    line = told(change(name, value, value + "x"))
    assert len(line.splitlines()) == 1
