"""What a commit touched: told from repositories that git itself made."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.history.git.commits import read_commits, read_steps
from cfgaudit.history.git.repository import Repository
from cfgaudit.history.over_time.passages import INHERITED, PassageReader
from cfgaudit.history.over_time.touches import Texts, Touch, read_history, values_of
from cfgaudit.source import Memory
from cfgaudit.syntax.dialect import DETECT
from cfgaudit.tree.resolve import resolve
from history.real_git import commit, git

MAIN = "%include heat.ini\n%include gantry.ini\n\n[board main]\nchip = LPC1768\n"
HEAT = "[heater tray]\nhighest = 110\nlowest = 5\n\n[heater nozzle]\nhighest = 280\n"
GANTRY = "[axis x]\ntop speed = 300\n"
FILES = {"main.ini": MAIN, "heat.ini": HEAT, "gantry.ini": GANTRY}


def touches(folder: Path, *given: str) -> tuple[Touch, ...]:
    repository = Repository(folder)
    steps = read_steps(repository, *(given or ("HEAD",)))
    return read_history(Texts(repository, DETECT), steps, {"main.ini"}, str(folder)).touches


def touched_by(touch: Touch) -> set[tuple[str, str]]:
    """The settings, and the headers, that are written otherwise now; what only moved is not."""
    return {key for key in touch.values if all(one.values[key].differ for one in touch.against)}


def last(folder: Path) -> set[tuple[str, str]]:
    return touched_by(touches(folder)[-1])


def replaced(name: str, old: str, new: str) -> dict[str, str]:
    assert old in FILES[name]
    return {name: FILES[name].replace(old, new)}


def test_the_first_commit_touches_all_that_it_says(folder: Path) -> None:
    commit(folder, "begin", FILES)
    assert last(folder) == {
        ("boardmain", ""), ("boardmain", "chip"), ("heatertray", ""), ("heatertray", "highest"),
        ("heatertray", "lowest"), ("heaternozzle", ""), ("heaternozzle", "highest"), ("axisx", ""),
        ("axisx", "topspeed"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("files", "touched"),
    [
        (replaced("heat.ini", "110", "120"), {("heatertray", "highest")}),
        (replaced("heat.ini", "highest = 280\n", ""), {("heaternozzle", "highest")}),
        (
            replaced("heat.ini", "[heater tray]", "[heater plate]"),
            {(name, key) for name in ("heatertray", "heaterplate") for key in ("", "highest", "lowest")},
        ),
        (replaced("heat.ini", "highest = 110\n", "highest=110 ; as sold\n"), set()),
        (replaced("heat.ini", "highest = 110\nlowest = 5\n", "lowest = 5\nhighest = 110\n"), set()),
        (replaced("heat.ini", "highest", "HIGHEST"), set()),
        ({"heat.ini": HEAT.split("\n\n")[0], "gantry.ini": GANTRY + "\n" + HEAT.split("\n\n")[1]}, set()),
        ({"notes.ini": "[heater tray]\nhighest = 300\n"}, set()),
    ],
)
def test_touched(folder: Path, files: Mapping[str, str], touched: set[tuple[str, str]]) -> None:
    """Values count, wherever they are written: comments, order, spelling and other files of a kind do not."""
    commit(folder, "begin", FILES)
    commit(folder, "change", files)
    assert last(folder) == touched


def test_two_values_of_one_setting_that_change_places(folder: Path) -> None:
    commit(folder, "begin", {"main.ini": "[fan a]\nspeed = 1\nspeed = 2\n"})
    commit(folder, "swap", {"main.ini": "[fan a]\nspeed = 2\nspeed = 1\n"})
    assert last(folder) == {("fana", "speed")}


def test_a_move_is_no_touch_but_known(folder: Path) -> None:
    commit(folder, "begin", FILES)
    git(folder, "mv", "gantry.ini", "motion.ini")
    commit(folder, "move", {"main.ini": MAIN.replace("gantry", "motion")})
    touch = touches(folder)[-1]
    assert touched_by(touch) == set()
    assert ("axisx", "topspeed") in touch.values
    assert touch.structure


def test_a_merge_touches_what_no_parent_has(folder: Path) -> None:
    commit(folder, "begin", FILES)
    git(folder, "checkout", "--quiet", "-b", "side")
    commit(folder, "side", replaced("gantry.ini", "300", "250"))
    git(folder, "checkout", "--quiet", "work")
    commit(folder, "work", replaced("heat.ini", "110", "115"))
    git(folder, "merge", "--quiet", "--no-commit", "side")
    commit(folder, "merge", {"heat.ini": HEAT.replace("110", "115").replace("280", "270")})
    merged = touches(folder)[-1]
    assert len(merged.commit.parents) == 2
    assert touched_by(merged) == {("heaternozzle", "highest")}


def test_files_that_are_no_part_any_more(folder: Path) -> None:
    """A file counts if any version of the main file, or of what that included, leads to it."""
    commit(folder, "begin", {**FILES, "old/lamp.ini": "[light lid]\nbrightness = 3\n"})
    commit(folder, "include it", {"gantry.ini": f"{GANTRY}\n%include old/*.ini\n"})
    commit(folder, "change it", {"old/lamp.ini": "[light lid]\nbrightness = 4\n"})
    assert last(folder) == {("lightlid", "brightness")}
    commit(folder, "without it", {"gantry.ini": GANTRY})
    commit(folder, "change it", {"old/lamp.ini": "[light lid]\nbrightness = 5\n"})
    assert last(folder) == {("lightlid", "brightness")}


def test_what_is_no_text_or_no_file_says_nothing(folder: Path) -> None:
    commit(folder, "begin", FILES)
    (folder / "heat.ini").write_bytes(bytes(range(32)) * 40)
    git(folder, "commit", "--quiet", "--all", "--message=binary")
    gone = {(name, key) for name in ("heatertray", "heaternozzle") for key in ("", "highest")}
    assert last(folder) == gone | {("heatertray", "lowest")}


def test_what_stands_before_any_header_is_of_a_section_that_another_file_opens(folder: Path) -> None:
    commit(folder, "begin", {"main.ini": "[fan a]\n%include fan.ini\n", "fan.ini": "speed = 1\n"})
    commit(folder, "change", {"fan.ini": "speed = 2\n"})
    assert last(folder) == {(INHERITED, "speed")}


def test_commits_are_as_git_log_has_them(folder: Path) -> None:
    dates = ("2026-03-01T10:00:00+0530", "2026-03-02T10:00:00-0300", "@0 +0000")
    for rank, date in enumerate(dates):
        commit(folder, f"Étape {rank}\n\nmore", {"main.ini": str(rank)}, GIT_AUTHOR_DATE=date)
    told = [
        line.split("|") for line in git(folder, "log", "--reverse", "--format=%H|%aI|%an|%s|%P").split("\n")
    ]
    found = read_commits(Repository(folder), "HEAD")
    assert [[one.id, one.author, one.summary, " ".join(one.parents)] for one in found] == [
        [name, author, summary, parents] for name, _, author, summary, parents in told
    ]
    times = [datetime.fromisoformat(date) for _, date, *_ in told]
    assert [(one.date, one.date.utcoffset()) for one in found] == [(one, one.utcoffset()) for one in times]


def test_paths_may_be_called_anything(folder: Path) -> None:
    name = "ké :100644\nx.ini"
    commit(folder, "begin", {"main.ini": "%include k*.ini\n", name: "[fan a]\nspeed = 1\n"})
    commit(folder, "change", {name: "[fan a]\nspeed = 2\n"})
    assert last(folder) == {("fana", "speed")}


LINES = st.sampled_from(
    [
        "[a]",
        "[b]",
        "[include]",
        "[A ]",
        "x = 1",
        "x = 2",
        "y: 1",
        "  deeper",
        "; note",
        "#~ [a]",
        "#~ x = 9",
        "path = q",
    ]
)
TEXTS = st.lists(LINES, max_size=14).map(lambda lines: "\n".join([*lines, ""]))


@settings(max_examples=200, deadline=None)
@given(TEXTS)
def test_passages_say_what_the_tree_says(text: str) -> None:
    """The same sections, settings and values, whoever wrote them; a main file inherits from nobody."""
    passages = PassageReader(DETECT).read(text.encode(), "m.ini")
    tree = resolve(Memory({"m.ini": text.encode()}), "m.ini")
    written = sorted(
        ("" if section == INHERITED else section, setting, said.value, said.author)
        for passage in passages
        for (section, setting), said in passage.entries
    )
    assert written == sorted(
        (section.key, one.key, each.value, each.author)
        for section in tree.sections
        for one in section.settings
        for each in one.occurrences
    )


@settings(max_examples=200, deadline=None)
@given(TEXTS, TEXTS)
def test_what_differs_is_what_was_written_otherwise(old: str, new: str) -> None:
    """Against a count over both whole files."""
    reader = PassageReader(DETECT)
    before, after = reader.read(old.encode(), "m.ini"), reader.read(new.encode(), "m.ini")
    found = values_of([("m.ini", before, after)])
    lists = []
    for passages in (before, after):
        table: dict[tuple[str, str], list[object]] = {}
        for key, said in (entry for passage in passages for entry in passage.entries):
            table.setdefault(key, []).append(said)
        lists.append(table)
    keys = {key for key in {**lists[0], **lists[1]} if lists[0].get(key) != lists[1].get(key)}
    assert {key for key, values in found.items() if values.differ and key[1]} == keys
