"""The past as git itself tells it: git-show(1), git-log(1) with ``-S`` and ``--follow``, git-diff(1).

Values are read from what git shows by Python's `configparser`, on what both can read: sections and entries
with ``=``, files that include others at their top.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from configparser import ConfigParser
from pathlib import Path

import pytest
from history.real_git import commit, git, write
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.over_time.attribution import attribute
from cfgaudit.history.over_time.past import NOW, Past
from cfgaudit.history.over_time.timeline import read_pattern, setting_timelines
from cfgaudit.history.states.states import States
from cfgaudit.project import Project
from cfgaudit.working_tree import WorkingTree

Values = dict[tuple[str, str], str]


@pytest.fixture(autouse=True)
def plain_git(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")


def repository(folder: Path) -> Path:
    git(folder, "init", "--quiet", "--initial-branch=work")
    return folder


def states_of(folder: Path, main: str = "main.ini") -> States:
    return States(WorkingTree(folder), main, Project(), folder)


def values_at(folder: Path, revision: str) -> Values:
    """Every value of a revision: git shows the files, configparser reads them one over the other."""
    texts = [git(folder, "show", f"{revision}:main.ini")]
    includes = [line.split(None, 1)[1] for line in texts[0].split("\n") if line.startswith("%include")]
    parser = ConfigParser(strict=False, interpolation=None, delimiters=("=",))
    for text in (*(git(folder, "show", f"{revision}:{name}") for name in includes), texts[0]):
        parser.read_string("\n".join(line for line in text.split("\n") if not line.startswith("%")))
    return {(section, key): value for section in parser.sections() for key, value in parser.items(section)}


def history_of(folder: Path) -> Iterator[tuple[str, list[str]]]:
    """Every commit with its parents, parents first."""
    for line in git(folder, "log", "--reverse", "--topo-order", "--format=%H %P").split("\n"):
        name, *parents = line.split()
        yield name, parents


def arrivals(folder: Path) -> set[tuple[str, str, str | None, str]]:
    """Section, setting, value and commit: where a value differs from that of every parent."""
    values: dict[str, Values] = {}
    found = set()
    for name, parents in history_of(folder):
        values[name] = values_at(folder, name)
        before = [values[one] for one in parents]
        for key in {key for one in (values[name], *before) for key in one}:
            value = values[name].get(key)
            if all(one.get(key) != value for one in before) and (before or value is not None):
                found.add((*key, value, name))
    return found


def told(folder: Path) -> set[tuple[str, str, str | None, str]]:
    """The same as `cfgaudit history` has it."""
    found = set()
    for line in setting_timelines(Past(states_of(folder)), read_pattern("*:*")):
        for one in line.moments:
            shown = one.held or one.before
            assert shown is not None
            assert one.commit is not None
            found.add((shown.section, shown.setting, one.held and one.held.value, one.commit.id))
    return found


class Machine:
    """Files that change step by step. Each section stands in one file at a time."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.names = {"heat": "heat.ini", "gantry": "gantry.ini"}
        self.values: dict[str, dict[str, str]] = {
            "heater bed": {"highest": "110", "lowest": "5"},
            "axis x": {"top speed": "300", "top acceleration": "3000"},
            "fan lid": {"speed": "40"},
        }
        self.home = {"heater bed": "heat", "axis x": "gantry", "fan lid": "gantry"}

    def files(self) -> dict[str, str]:
        includes = [f"%include {name}\n" for name in self.names.values()]
        texts = {"main.ini": "".join([*includes, "\n[board main]\nchip = LPC1768\n"])}
        for file, name in self.names.items():
            sections = [one for one, home in self.home.items() if home == file]
            texts[name] = "\n".join(self.section(one) for one in sections)
        return texts

    def section(self, name: str) -> str:
        return "\n".join([f"[{name}]", *(f"{key} = {value}" for key, value in self.values[name].items()), ""])

    def save(self, message: str) -> None:
        for path in self.folder.glob("*.ini"):
            path.unlink()
        commit(self.folder, message, self.files())

    def apply(self, change: Sequence[str]) -> None:
        kind, *words = change
        if kind == "set":
            section, key, value = words
            self.values[section][key] = value
        elif kind == "drop":
            self.values[words[0]].pop(words[1], None)
        elif kind == "move":
            self.home[words[0]] = words[1]
        elif kind == "rename":
            self.names[words[0]] = words[1]


VALUE = st.sampled_from(["1", "2", "3"])
EDIT = st.one_of(
    st.tuples(st.just("set"), st.just("heater bed"), st.sampled_from(["highest", "lowest"]), VALUE),
    st.tuples(st.just("set"), st.just("fan lid"), st.just("speed"), VALUE),
    st.tuples(st.just("drop"), st.just("heater bed"), st.just("lowest")),
    st.tuples(st.just("move"), st.just("fan lid"), st.sampled_from(["heat", "gantry"])),
    st.tuples(st.just("rename"), st.just("heat"), st.sampled_from(["warm.ini", "hot.ini"])),
)
SIDE = st.tuples(st.just("set"), st.just("axis x"), st.sampled_from(["top speed", "top acceleration"]), VALUE)


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(EDIT, max_size=6), st.lists(SIDE, max_size=2), st.lists(EDIT, max_size=2))
def test_values_of_every_revision_are_those_that_git_shows(
    tmp_path_factory: pytest.TempPathFactory,
    before: list[tuple[str, ...]],
    aside: list[tuple[str, ...]],
    after: list[tuple[str, ...]],
) -> None:
    """On one branch, on two that are merged, and after; settings keep their names here."""
    folder = repository(tmp_path_factory.mktemp("machine"))
    machine = Machine(folder)
    machine.save("begin")
    for one in before:
        machine.apply(one)
        machine.save(" ".join(one))
    git(folder, "checkout", "--quiet", "-b", "side")
    other = Machine(folder)
    other.names, other.home = dict(machine.names), dict(machine.home)
    other.values = {name: dict(entries) for name, entries in machine.values.items()}
    for one in aside:
        other.apply(one)
        other.save(" ".join(one))
    git(folder, "checkout", "--quiet", "work")
    for one in after:
        machine.apply(one)
        machine.save(" ".join(one))
    git(folder, "merge", "--quiet", "--no-commit", "--no-ff", "--strategy=ours", "side")
    for one in aside:
        machine.apply(one)
    machine.save("merge")
    assert told(folder) == arrivals(folder)


def test_every_place_is_the_line_that_git_shows(tmp_path: Path) -> None:
    folder = repository(tmp_path)
    machine = Machine(folder)
    machine.save("begin")
    for one in (
        ("set", "heater bed", "highest", "120"),
        ("move", "fan lid", "heat"),
        ("set", "fan lid", "speed", "60"),
    ):
        machine.apply(one)
        machine.save(" ".join(one))
    count = 0
    for line in setting_timelines(Past(states_of(folder)), read_pattern("*:*")):
        for one in line.moments:
            assert one.held is not None
            assert one.commit is not None
            place = one.held.where
            shown = git(folder, "show", f"{one.commit.id}:{place.file}").split("\n")[place.line - 1]
            assert shown[place.column - 1 : place.end_column - 1] == one.held.value
            assert shown.startswith(one.held.setting)
            count += 1
    assert count > len(machine.values)


def searched(folder: Path, text: str, *words: str) -> set[str]:
    """The commits in which the number of a text's occurrences changed in some file (git-log(1), ``-S``)."""
    return set(filter(None, git(folder, "log", f"-S{text}", "--format=%H", *words).split("\n")))


def test_commits_are_those_that_a_search_in_git_names(tmp_path: Path) -> None:
    """Where every value is written once, in one file. A search counts text: it also names a commit that moves
    an entry to another file or comments on it, which changes no setting."""
    folder = repository(tmp_path)
    machine = Machine(folder)
    machine.save("begin")
    git(folder, "tag", "start")
    for value in ("111", "112", "113"):
        machine.apply(("set", "heater bed", "highest", value))
        machine.save(f"bed {value}")
        machine.apply(("set", "axis x", "top speed", f"9{value}"))
        machine.save(f"speed {value}")
    (line,) = setting_timelines(Past(states_of(folder)), read_pattern("heater bed:highest"))
    ids = [one.commit.id for one in line.moments if one.commit is not None]
    for rank, one in enumerate(line.moments):
        assert one.held is not None
        expected = {ids[rank], *ids[max(0, rank - 1) : rank]}
        assert searched(folder, f"highest = {one.held.value}\n") == expected
    states = states_of(folder)
    before, after = states.at("start"), states.at("HEAD")
    changes = compare_machines(states.subject(before), states.subject(after))
    made = {
        one.address: {each.id for each in one.commits}
        for one in attribute(changes, states, before.revision, after.revision)
    }
    values = {
        "heater bed:highest": ("110", "111", "112", "113"),
        "axis x:top speed": ("300", "9111", "9112", "9113"),
    }
    assert made == {
        address: set().union(
            *(searched(folder, f"{address.split(':')[1]} = {value}\n", "start..HEAD") for value in held)
        )
        for address, held in values.items()
    }
    machine.apply(("move", "fan lid", "heat"))
    machine.save("move")
    moved = git(folder, "rev-parse", "HEAD")
    assert moved in searched(folder, "speed = 40\n")
    (line,) = setting_timelines(Past(states_of(folder)), read_pattern("fan lid:speed"))
    assert moved not in {one.commit and one.commit.id for one in line.moments}


def test_renamed_files_are_followed_as_git_follows_them(tmp_path: Path) -> None:
    """git-log(1) with ``--follow`` on the file that has the setting now, of which every commit changed it."""
    folder = repository(tmp_path)
    machine = Machine(folder)
    machine.save("begin")
    for change in (
        ("set", "heater bed", "highest", "120"),
        ("rename", "heat", "warm.ini"),
        ("set", "heater bed", "highest", "125"),
        ("rename", "heat", "hot.ini"),
        ("set", "heater bed", "highest", "130"),
    ):
        machine.apply(change)
        machine.save(" ".join(change))
    followed = git(folder, "log", "--follow", "--name-status", "--format=%x00%H", "--", "hot.ini").split(
        "\0"
    )[1:]
    edits = [name for name, what in (one.split("\n\n", 1) for one in followed) if not what.startswith("R")]
    (line,) = setting_timelines(Past(states_of(folder)), read_pattern("heater bed:highest"))
    assert [one.commit and one.commit.id for one in line.moments] == edits
    assert len(edits) == 4


def test_the_main_file_has_the_name_that_git_tells(tmp_path: Path) -> None:
    """Renamed twice, once into another folder together with what it includes."""
    folder = repository(tmp_path)
    machine = Machine(folder)
    machine.save("begin")
    git(folder, "mv", "main.ini", "pelican.ini")
    git(folder, "commit", "--quiet", "--message=name")
    write(folder, {"heat.ini": (folder / "heat.ini").read_text().replace("110", "120")})
    git(folder, "commit", "--quiet", "--all", "--message=value")
    (folder / "machine").mkdir()
    git(folder, "mv", "pelican.ini", "heat.ini", "gantry.ini", "machine/")
    git(folder, "commit", "--quiet", "--message=folder")
    told = git(folder, "log", "--follow", "--name-only", "--format=%x00%H", "--", "machine/pelican.ini")
    names = dict(one.strip().split("\n\n") for one in told.split("\0")[1:])
    past = Past(states_of(folder / "machine", "pelican.ini"))
    for state in past.line:
        if state.id == NOW:
            continue
        snapshot = past.snapshot(state.id)
        prefix = getattr(snapshot.source, "prefix", "")
        path = f"{prefix}/{snapshot.main}" if prefix else snapshot.main
        assert git(folder, "cat-file", "-e", f"{state.id}:{path}") == ""
        if state.id in names:
            assert path == names[state.id]
    (line,) = setting_timelines(past, read_pattern("heater bed:highest"))
    assert [one.held and one.held.value for one in line.moments] == ["120", "110"]
