"""``check --since`` and ``check --changes``."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cli.conftest import Runs
from cli.program import write
from cli.test_imports import loaded, packages

Git = Callable[..., str]
OLD_FAULT = "[axis x]\nlowest = 400 mm\nhighest = 300 mm\n"
NEW_FAULT = "[axis y]\nlowest = 500 mm\nhighest = 200 mm\n"


@pytest.fixture
def marked(here: Path, git: Git) -> Path:
    """A machine with one fault, known at a mark."""
    write(here, {"mill.ini": OLD_FAULT})
    git("add", ".")
    git("commit", "--quiet", "--message=all")
    git("tag", "--annotate", "--message=a vase", "good/2026-11-01")
    return here


def findings(run: Runs, *words: str) -> tuple[int, Any]:
    ran = run("check", *words, "--format", "json")
    assert ran.err == ""
    return ran.status, json.loads(ran.out)


@pytest.mark.parametrize("since", ["last-mark", "good/2026-11-01", "HEAD"])
def test_what_stood_already_is_counted(run: Runs, marked: Path, since: str) -> None:
    """The fault keeps its identity though its line moves and its value is written otherwise."""
    write(marked, {"mill.ini": "; a line\n\n" + OLD_FAULT.replace("400 mm", "400.0 mm")})
    assert run("check").status == 1
    ran = run("check", "--since", since)
    assert (ran.status, ran.err) == (0, "")
    assert "travel-inverted" not in ran.out
    label = "commit" if since == "HEAD" else "good/2026-11-01"
    assert "nothing new." in ran.out
    assert f"1 finding stood at {label}" in ran.out


def test_what_stood_under_another_name_is_counted(run: Runs, here: Path, git: Git) -> None:
    """File and section have other names than at the mark."""
    axis = f"{OLD_FAULT}step = PA1\ndirection = PA2\n"
    write(here, {"mill.ini": axis})
    git("add", ".")
    git("commit", "--quiet", "--message=all")
    git("mv", "mill.ini", "lathe.ini")
    write(here, {"lathe.ini": axis.replace("[axis x]", "[gantry axis x]")})
    git("add", ".")
    ran = run("check", "--since", "HEAD")
    assert (ran.status, ran.err) == (0, "")
    assert "1 finding stood at commit" in ran.out


def test_what_is_new_is_told_and_decides(run: Runs, marked: Path) -> None:
    write(marked, {"mill.ini": OLD_FAULT + NEW_FAULT})
    ran = run("check", "--since", "last-mark")
    assert ran.status == 1
    assert ran.out.count("travel-inverted") == 1
    assert "500 mm" in ran.out
    assert "1 error." in ran.out
    assert run("check", "--since", "last-mark", "--fail-at", "danger").status == 0


def test_what_got_worse_is_new(run: Runs, here: Path, git: Git) -> None:
    """The same rule at the same setting: a share of 150 may be per cent, one of 1.5 cannot be."""
    oven = "[heater bed]\nheat pin = PA1\nthermistor = NTC 100k, PC1\nhighest temp = 100\n"
    oven += "power at most = {}\n"
    write(here, {"oven.ini": oven.format(150)})
    git("add", ".")
    git("commit", "--quiet", "--message=all")
    write(here, {"oven.ini": oven.format(1.5)})
    ran = run("check", "--since", "HEAD")
    assert ran.status == 1
    assert "duty-out-of-range" in ran.out


def test_json_has_all_and_says_what_is_known(run: Runs, marked: Path) -> None:
    write(marked, {"mill.ini": OLD_FAULT + NEW_FAULT})
    status, form = findings(run, "--since", "last-mark")
    assert status == 1
    assert [(one["rule"], one["known"]) for one in form["findings"]] == [
        ("travel-inverted", True),
        ("travel-inverted", False),
    ]
    assert form["since"] == "good/2026-11-01"
    assert (form["counts"]["error"], form["new"]["error"]) == (2, 1)
    _, plain = findings(run)
    assert not any(one["known"] for one in plain["findings"])
    assert plain.keys() == {"schema", "main", "files", "findings", "skipped", "counts"}


def test_staged_and_other_revisions(run: Runs, marked: Path, git: Git) -> None:
    write(marked, {"mill.ini": OLD_FAULT + NEW_FAULT})
    git("add", ".")
    write(marked, {"mill.ini": OLD_FAULT})
    assert findings(run, "--since", "last-mark")[0] == 0
    assert findings(run, "--since", "last-mark", "--staged")[0] == 1
    git("commit", "--quiet", "--message=worse")
    assert findings(run, "--since", "HEAD", "--rev", "HEAD~1")[0] == 0
    assert findings(run, "--since", "HEAD~1", "--rev", "HEAD")[0] == 1


def test_standard_input(run: Runs, marked: Path) -> None:
    text = (OLD_FAULT + NEW_FAULT).encode()
    assert run("check", "-", "--path", "mill.ini", "--since", "HEAD", stdin=text).status == 1
    assert run("check", "-", "--path", "mill.ini", "--since", "HEAD", stdin=OLD_FAULT.encode()).status == 0
    ran = run("check", "-", "--path", "mill.ini", "--changes", stdin=text)
    assert ran.status == 2
    assert "--changes" in ran.err


@pytest.mark.parametrize("since", ["nowhere", "mill.ini", ""])
def test_a_revision_that_is_none(run: Runs, marked: Path, since: str) -> None:
    ran = run("check", "--since", since)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.count("\n") == 1


def test_without_a_mark_there_is_no_last_one(run: Runs, here: Path, git: Git) -> None:
    write(here, {"mill.ini": OLD_FAULT})
    ran = run("check", "--since", "last-mark")
    assert ran.status == 2
    assert "cfgaudit mark" in ran.err


def test_changes_stand_before_the_findings(run: Runs, marked: Path, git: Git) -> None:
    write(marked, {"mill.ini": OLD_FAULT.replace("300 mm", "350 mm")})
    git("add", ".")
    write(marked, {"mill.ini": OLD_FAULT.replace("300 mm", "360 mm")})
    for words, value in (((), "360 mm"), (("--staged",), "350 mm")):
        ran = run("check", "--changes", *words)
        assert ran.status == 1
        head, _, rest = ran.out.partition("mill.ini\n")
        assert "1 change (1 " in head
        assert f"[axis x] highest  300 mm → {value}" in head
        assert "travel-inverted" in rest


def test_changes_in_json(run: Runs, marked: Path) -> None:
    write(marked, {"mill.ini": OLD_FAULT.replace("300 mm", "350 mm")})
    _, form = findings(run, "--changes")
    assert [(one["section"], one["setting"]) for one in form["changes"]] == [("axis x", "highest")]
    assert form["from"]["label"] == "good/2026-11-01"


def test_without_a_mark_one_sentence_says_so_and_the_check_goes_on(run: Runs, here: Path, git: Git) -> None:
    """As in the first commit of a repository, before which its hook runs."""
    write(here, {"mill.ini": NEW_FAULT.replace("500", "100")})
    git("add", ".")
    ran = run("check", "--changes", "--staged")
    assert (ran.status, ran.err) == (0, "")
    told, _, rest = ran.out.partition("\n\n")
    assert "No commit of this branch is marked" in told
    assert "nothing found" in rest
    _, form = findings(run, "--changes")
    assert form["changes"] is None
    assert "marked" in form["reason"]


def test_outside_a_repository_the_check_goes_on(run: Runs, here: Path) -> None:
    write(here, {"mill.ini": NEW_FAULT.replace("500", "100")})
    ran = run("check", "--changes")
    assert ran.status == 0
    assert "cannot be told" in ran.out
    assert run("check", "--since", "last-mark").status == 2


def test_git_is_loaded_only_where_it_is_asked(marked: Path) -> None:
    assert "git" in packages(loaded(["check", "--since", "HEAD"], marked))
    plain = loaded(["check"], marked)
    assert "git" not in packages(plain)
    assert not any(name.startswith("cfgaudit.history") for name in plain)
