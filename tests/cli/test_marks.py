"""``mark`` and ``marks``: what a builder sees, what git has afterwards, and what is refused."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from cli.conftest import Runs
from cli.program import write
from cli.test_bad_input import refuse

Git = Callable[..., str]
MAIN = "%include parts/*.ini\n\n[plate heater]\nhighest temp = 110\nlowest temp = 5\n"
FAN = "[fan left]\npin = PA1\n"


@pytest.fixture(autouse=True)
def on_one_day(git: Git, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("AUTHOR", "COMMITTER"):
        monkeypatch.setenv(f"GIT_{name}_DATE", "2026-11-10T08:00:00+0100")


@pytest.fixture
def machine(here: Path, git: Git) -> Path:
    write(here, {"main.ini": MAIN, "parts/fans.ini": FAN, "notes.txt": "x\n"})
    git("add", ".")
    git("commit", "-qm", "Fit the left fan\n\nIt hums.")
    return here


def later(git: Git, here: Path, text: str, message: str = "More") -> None:
    write(here, {"main.ini": text})
    git("commit", "-qam", message)


def tags(git: Git) -> list[str]:
    return git("tag").split()


def test_a_mark_and_what_is_said_of_it(run: Runs, machine: Path, git: Git) -> None:
    ran = run("mark", "-m", "a vase", "--measured", "ringing=0.08 mm", "--measured", "top speed = 250 mm/s")
    assert (ran.status, ran.err) == (0, "")
    short = git("rev-parse", "--short=7", "HEAD").strip()
    assert ran.out == (
        f"good/2026-11-10 marks commit {short}, Fit the left fan.\n"
        "git push origin good/2026-11-10 carries it to other clones.\n"
    )
    message = git("for-each-ref", "--format=%(contents)", "refs/tags/good/2026-11-10")
    assert message.rstrip() == "a vase\n\nMeasured: ringing=0.08 mm\nMeasured: top speed=250 mm/s"
    again = run("mark", "HEAD", "--message", "and a lid")
    assert again.out.startswith(
        f"good/2026-11-10.2 marks commit {short}, Fit the left fan. It was marked already:"
    )
    assert tags(git) == ["good/2026-11-10", "good/2026-11-10.2"]
    assert git("status", "--porcelain") == "", "nothing else is written"


@pytest.mark.parametrize(
    ("files", "staged"),
    [
        ({"main.ini": MAIN + "x = 1\n"}, False),
        ({"main.ini": MAIN + "x = 1\n"}, True),
        ({"parts/fans.ini": FAN + "x = 1\n"}, False),
        ({"parts/new.ini": "[lamp]\n"}, False),
        ({"parts/new.ini": "[lamp]\n"}, True),
        ({"cfgaudit.toml": 'main = "main.ini"\n'}, False),
    ],
)
def test_what_is_not_committed_is_not_marked(
    run: Runs, machine: Path, git: Git, files: dict[str, str], staged: bool
) -> None:
    write(machine, files)
    if staged:
        git("add", ".")
    refuse(
        run,
        machine,
        "mark -m fine",
        f"{next(iter(files))} is not as in the last commit",
        ": git commit first",
    )
    assert tags(git) == []
    assert run("mark", "HEAD", "-m", "fine").status == 0, "whoever names the commit knows which one"


def test_a_staged_change_that_is_gone_on_disk(run: Runs, machine: Path, git: Git) -> None:
    write(machine, {"main.ini": MAIN + "x = 1\n"})
    git("add", ".")
    write(machine, {"main.ini": MAIN})
    refuse(run, machine, "mark -m fine", "main.ini is not as in")


def test_an_included_file_that_is_gone(run: Runs, machine: Path) -> None:
    """Nothing on disk says that it was there: it matched a glob."""
    (machine / "parts" / "fans.ini").unlink()
    refuse(run, machine, "mark -m fine", "parts/fans.ini is not as in")


def test_a_shared_vocabulary_and_the_settings_above(run: Runs, machine: Path, git: Git) -> None:
    write(machine, {"cfgaudit.toml": 'vocabulary = "words.toml"\n', "words.toml": "", "inner/main.ini": MAIN})
    git("add", ".")
    git("commit", "-qm", "words")
    write(machine, {"words.toml": '[words]\nheater = ["slab"]\n'})
    refuse(run, machine, "mark -m fine --main main.ini", "words.toml is not as in")
    refuse(run, machine, "mark -m fine --main inner/main.ini", "words.toml is not as in")
    git("checkout", "words.toml")
    write(machine, {"cfgaudit.toml": ""})
    refuse(run, machine, "mark -m fine --main inner", "cfgaudit.toml is not as in")


def test_many_files_that_changed(run: Runs, machine: Path) -> None:
    write(machine, {f"parts/{number}.ini": "[lamp]\n" for number in range(9)})
    told = refuse(run, machine, "mark -m fine", "and 3 more are not as in the last commit")
    assert told.count(".ini") == 6


def test_other_files_and_line_ends_do_not_matter(run: Runs, machine: Path, git: Git) -> None:
    write(
        machine,
        {"notes.txt": "y\n", "aside/other.ini": "[lamp]\n", "parts/fans.ini": FAN.replace("\n", "\r\n")},
    )
    git("add", "notes.txt")
    assert run("mark", "-m", "fine", "--main", "main.ini").status == 0


def test_files_that_the_repository_cannot_hold(run: Runs, machine: Path, git: Git, tmp_path: Path) -> None:
    write(tmp_path, {"shared.ini": "[lamp]\n"})
    write(machine, {"cfgaudit.toml": '[tree]\nallow = ["../shared.ini"]\n'})
    write(machine, {"main.ini": "%include ../shared.ini\n" + MAIN})
    git("add", ".")
    git("commit", "-qm", "shared")
    assert run("mark", "-m", "fine", "--main", "main.ini").status == 0


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((), "a mark needs a note"),
        (("-m", ""), "the note is empty"),
        (("-m", " \n "), "the note is empty"),
        (("-m", "x", "--measured", "ringing"), "write NAME=VALUE"),
        (("-m", "x", "--measured", "=1"), "write NAME=VALUE"),
        (("-m", "x", "--measured", "a="), "write NAME=VALUE"),
        (("-m", "x", "--measured", "a=1\nb=2"), "more than one line"),
        (("", "-m", "x"), "names no commit"),
        (("HEAD..HEAD", "-m", "x"), "a range"),
        (("main.ini", "-m", "x"), "the main file goes with --main main.ini"),
        (("parts", "-m", "x"), "the main file goes with --main parts"),
        (("nowhere", "-m", "x"), "names no commit"),
        (("HEAD~1", "-m", "x"), "is not in commit"),
        (("-m", "x", "--main", "none.ini"), "none.ini does not exist"),
    ],
)
def test_what_is_no_mark(run: Runs, machine: Path, git: Git, words: tuple[str, ...], told: str) -> None:
    git("rm", "-q", "--cached", "main.ini")
    git("commit", "-qm", "without a main file")
    git("add", "main.ini")
    git("commit", "-qm", "with one again")
    ran = run("mark", *words)
    assert (ran.status, ran.out) == (2, "")
    assert told in ran.err
    assert ran.err.count("\n") == 1
    assert tags(git) == []


def test_a_main_file_that_is_not_committed(run: Runs, here: Path, git: Git) -> None:
    git("commit", "-q", "--allow-empty", "-m", "empty")
    write(here, {"main.ini": MAIN})
    refuse(run, here, "mark -m fine", "main.ini is not as in the last commit: git commit first")
    refuse(run, here, "mark HEAD -m fine", "main.ini is not in commit")


def test_no_name_to_sign_with(run: Runs, machine: Path, git: Git, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("GIT_COMMITTER_NAME", "GIT_COMMITTER_EMAIL", "EMAIL"):
        monkeypatch.delenv(name, raising=False)
    git("config", "user.useConfigOnly", "true")
    refuse(run, machine, "mark -m fine", "git config --global user.name", "git config --global user.email")


def test_marks_newest_first_with_what_changed(
    run: Runs, machine: Path, git: Git, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The numbers of changed settings are counted by hand: comments and order are none."""
    assert run("mark", "-m", "a vase\n\n14 hours", "--measured", "ringing=0.08 mm").status == 0
    later(git, machine, MAIN.replace("110", "115").replace("= 5", "= 6"))
    monkeypatch.setenv("GIT_COMMITTER_DATE", "2026-11-12T08:00:00+0100")
    assert run("mark", "-m", "a lid").status == 0
    later(git, machine, "; only a comment\n" + MAIN.replace("110", "115").replace("= 5", "= 6"))
    monkeypatch.setenv("GIT_COMMITTER_DATE", "2026-11-13T08:00:00+0100")
    assert run("mark", "-m", "a box").status == 0
    later(git, machine, MAIN.replace("110", "115"))
    write(machine, {"main.ini": MAIN.replace("110", "118")})
    ids = git("log", "--format=%h", "--abbrev=7").split()
    assert run("marks").out == (
        f"good/2026-11-13  commit {ids[1]}, marked 2026-11-13 08:00 by Odile\n"
        "  a box\n"
        "  0 changes since good/2026-11-12\n"
        "\n"
        f"good/2026-11-12  commit {ids[2]}, marked 2026-11-12 08:00 by Odile\n"
        "  a lid\n"
        "  2 changes since good/2026-11-10\n"
        "\n"
        f"good/2026-11-10  commit {ids[3]}, marked 2026-11-10 08:00 by Odile\n"
        "  a vase\n"
        "  14 hours\n"
        "  measured: ringing = 0.08 mm\n"
        "\n"
        "Since good/2026-11-13: 1 change to the last commit, 2 changes to the working\n"
        "tree; cfgaudit changes tells them.\n"
    )
    form = json.loads(run("marks", "--format", "json").out)
    assert form["schema"] == 1
    assert (form["main"], form["since"]) == (
        "main.ini",
        {"mark": "good/2026-11-13", "head": 1, "working_tree": 2},
    )
    assert [(one["mark"], one["changes"], one["since"]) for one in form["marks"]] == [
        ("good/2026-11-13", 0, "good/2026-11-12"),
        ("good/2026-11-12", 2, "good/2026-11-10"),
        ("good/2026-11-10", None, None),
    ]
    assert form["marks"][-1] == {
        "mark": "good/2026-11-10",
        "date": "2026-11-10T08:00:00+01:00",
        "commit": git("rev-parse", "HEAD~3").strip(),
        "author": "Odile",
        "note": "a vase\n\n14 hours",
        "measured": [{"name": "ringing", "value": "0.08 mm"}],
        "changes": None,
        "since": None,
        "unreadable": None,
    }


def test_no_mark_yet(run: Runs, machine: Path) -> None:
    ran = run("marks")
    assert (ran.status, ran.err) == (0, "")
    assert "cfgaudit mark -m" in ran.out
    assert json.loads(run("marks", "--format", "json").out) == {
        "schema": 1,
        "main": "main.ini",
        "marks": [],
        "since": None,
    }


def test_no_commit_yet(run: Runs, here: Path, git: Git) -> None:
    write(here, {"main.ini": MAIN})
    assert "cfgaudit mark -m" in run("marks").out
    refuse(run, here, "mark -m fine", "none yet: git commit first")


def test_a_mark_without_the_main_file_stays_in_the_list(run: Runs, here: Path, git: Git) -> None:
    git("commit", "-q", "--allow-empty", "-m", "empty")
    git("tag", "-m", "before all", "good/2026-01-01")
    git("tag", "good/light")
    write(here, {"main.ini": MAIN})
    git("add", ".")
    git("commit", "-qm", "main")
    assert run("mark", "-m", "fine").status == 0
    told = run("marks", columns=120).out
    assert "not comparable: main.ini is not in commit" in told
    assert "light" not in told
    listed = json.loads(run("marks", "--format", "json").out)["marks"]
    assert [one["changes"] for one in listed] == [None, None]
    assert listed[1]["unreadable"].startswith("main.ini is not in commit")
    assert listed[0]["unreadable"] is None


def test_a_bad_letter_in_a_note_does_not_reach_the_terminal(run: Runs, machine: Path) -> None:
    assert run("mark", "-m", "red \x1b[31m\x07 end", "--measured", "a=\x1b[1m").status == 0
    for form in ("text", "json"):
        assert "\x1b" not in run("marks", "--format", form).out


@pytest.mark.parametrize("columns", [40, 80, 120])
def test_widths(run: Runs, machine: Path, columns: int) -> None:
    for words in (("mark", "-m", "word " * 60), ("marks",)):
        ran = run(*words, columns=columns)
        assert ran.status == 0
        assert max(map(len, ran.out.splitlines())) <= columns
