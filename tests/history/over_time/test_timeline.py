"""The values that settings and facts had, followed through repositories that git itself made."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.history.over_time.fact_timeline import fact_timelines
from cfgaudit.history.over_time.known_names import nearest_setting
from cfgaudit.history.over_time.past import NOW, Past
from cfgaudit.history.over_time.threads import follow
from cfgaudit.history.over_time.timeline import read_pattern, setting_timelines
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
"""
GANTRY = """\
[axis x]
full steps = 200
microsteps = 16
travel per turn = 40 mm
top acceleration = 3000 mm/s²
"""
FILES = {"main.ini": MAIN, "heat.ini": HEAT, "gantry.ini": GANTRY}


def past_of(folder: Path, main: str = "main.ini") -> Past:
    return Past(States(WorkingTree(folder), main, Project(), folder))


def values(folder: Path, address: str, main: str = "main.ini") -> list[tuple[str | None, str | None]]:
    """Value and commit of the one setting that an address means, newest first."""
    (found,) = setting_timelines(past_of(folder, main), read_pattern(address))
    return [(one.held and one.held.value, one.commit and one.commit.id) for one in found.moments]


def edit(folder: Path, name: str, old: str, new: str) -> str:
    """Replace text in a file and commit it."""
    text = (folder / name).read_text("utf-8")
    assert old in text
    return commit(folder, f"{old} to {new}", {name: text.replace(old, new)})


@pytest.fixture
def begun(folder: Path) -> str:
    return commit(folder, "begin", FILES)


def test_every_value_the_newest_first(folder: Path, begun: str) -> None:
    one = edit(folder, "heat.ini", "110", "120")
    edit(folder, "gantry.ini", "3000", "4000")
    other = edit(folder, "heat.ini", "120", "110")
    assert values(folder, "heater bed:highest") == [("110 °C", other), ("120 °C", one), ("110 °C", begun)]


@pytest.mark.parametrize(
    "address",
    ["heater bed:highest", "HEATER BED:High_Est", "[heater bed]:highest", "heater *:high*", "*:hig?est"],
)
def test_names_compare_folded_and_by_globs(folder: Path, begun: str, address: str) -> None:
    assert values(folder, address) == [("110 °C", begun)]


def test_what_is_on_disk_comes_first(folder: Path, begun: str) -> None:
    write(folder, {"heat.ini": HEAT.replace("110", "125")})
    assert values(folder, "heater bed:highest") == [("125 °C", None), ("110 °C", begun)]


def test_nothing_is_committed_yet(folder: Path) -> None:
    write(folder, FILES)
    assert values(folder, "heater bed:highest") == [("110 °C", None)]


def test_the_main_file_is_not_committed_yet(folder: Path) -> None:
    commit(folder, "notes", {"notes.txt": "hello"})
    write(folder, FILES)
    assert values(folder, "heater bed:highest") == [("110 °C", None)]


def test_moves_to_other_files_are_no_values(folder: Path, begun: str) -> None:
    git(folder, "mv", "heat.ini", "warm.ini")
    edit(folder, "main.ini", "heat.ini", "warm.ini")
    other = edit(folder, "warm.ini", "110", "120")
    assert values(folder, "heater bed:highest") == [("120 °C", other), ("110 °C", begun)]
    (found,) = setting_timelines(past_of(folder), read_pattern("heater bed:highest"))
    places = [one.held.where for one in found.moments if one.held is not None]
    assert [(place.file, place.line) for place in places] == [("warm.ini", 5), ("heat.ini", 5)]


def test_a_renamed_section_is_followed_from_either_name(folder: Path, begun: str) -> None:
    one = edit(folder, "heat.ini", "110", "120")
    renaming = edit(folder, "heat.ini", "[heater bed]", "[heater plate]")
    other = edit(folder, "heat.ini", "120", "125")
    expected = [("125 °C", other), ("120 °C", renaming), ("120 °C", one), ("110 °C", begun)]
    assert values(folder, "heater plate:highest") == expected
    assert values(folder, "heater bed:highest") == expected
    (found,) = setting_timelines(past_of(folder), read_pattern("*:highest"))
    renamed = found.moments[1]
    assert renamed.before is not None
    assert renamed.before.section == "heater bed"
    assert found.now is not None
    assert found.now.section == "heater plate"


def test_a_rename_that_is_not_committed(folder: Path, begun: str) -> None:
    write(folder, {"heat.ini": HEAT.replace("[heater bed]", "[heater plate]")})
    assert values(folder, "heater plate:highest") == [("110 °C", None), ("110 °C", begun)]


def test_a_renamed_setting_is_followed(folder: Path, begun: str) -> None:
    renaming = edit(folder, "gantry.ini", "top acceleration", "highest acceleration")
    expected = [("3000 mm/s²", renaming), ("3000 mm/s²", begun)]
    assert values(folder, "axis x:highest acceleration") == expected
    assert values(folder, "axis x:top acceleration") == expected


def test_a_main_file_that_was_renamed_and_moved(folder: Path, begun: str) -> None:
    one = edit(folder, "heat.ini", "110", "120")
    (folder / "machine").mkdir()
    for name, new in (("main.ini", "pelican.ini"), ("heat.ini", "heat.ini"), ("gantry.ini", "gantry.ini")):
        git(folder, "mv", name, f"machine/{new}")
    commit(folder, "move", {})
    other = edit(folder, "machine/heat.ini", "120", "125")
    assert values(folder / "machine", "heater bed:highest", "pelican.ini") == [
        ("125 °C", other), ("120 °C", one), ("110 °C", begun),
    ]  # fmt: skip


def test_a_setting_that_went_and_came_again(folder: Path, begun: str) -> None:
    gone = edit(folder, "heat.ini", "lowest = 5 °C\n", "")
    back = edit(folder, "heat.ini", "highest", "lowest = 8 °C\nhighest")
    assert values(folder, "heater bed:lowest") == [("8 °C", back), (None, gone), ("5 °C", begun)]


def test_what_a_later_file_shadows_does_not_count(folder: Path) -> None:
    files = {
        **FILES,
        "main.ini": MAIN + "\n%include tuned.ini\n",
        "tuned.ini": "[heater bed]\nhighest = 90 °C\n",
    }
    begun = commit(folder, "begin", files)
    edit(folder, "heat.ini", "110", "120")
    shown = edit(folder, "main.ini", "%include tuned.ini\n", "")
    assert values(folder, "heater bed:highest") == [("120 °C", shown), ("90 °C", begun)]


def test_what_the_machine_wrote(folder: Path, begun: str) -> None:
    block = "\n;~ [heater bed]\n;~ highest = 105 °C\n"
    saved = commit(folder, "save", {"main.ini": MAIN + block})
    assert values(folder, "heater bed:highest") == [("105 °C", saved), ("110 °C", begun)]
    (found,) = setting_timelines(past_of(folder), read_pattern("heater bed:highest"))
    assert [one.held and one.held.author for one in found.moments] == ["machine", "hand"]


def test_a_header_in_the_including_file_that_is_renamed(folder: Path) -> None:
    """The file with the value is the same in both commits."""
    files = {"main.ini": "[fan lid]\n%include fan.ini\ndrive = PA1\n", "fan.ini": "speed = 40 %\n"}
    begun = commit(folder, "begin", files)
    renaming = edit(folder, "main.ini", "fan lid", "fan door")
    (found,) = setting_timelines(past_of(folder), read_pattern("fan door:speed"))
    assert [one.commit and one.commit.id for one in found.moments] == [renaming, begun]


def test_branches_and_merges(folder: Path, begun: str) -> None:
    """A merge brings a value only where it differs from what both sides had."""
    git(folder, "checkout", "--quiet", "-b", "side")
    side = edit(folder, "heat.ini", "110", "120")
    git(folder, "checkout", "--quiet", "work")
    work = edit(folder, "gantry.ini", "3000", "4000")
    git(folder, "merge", "--quiet", "--no-edit", "side")
    assert values(folder, "heater bed:highest") == [("120 °C", side), ("110 °C", begun)]
    assert values(folder, "axis x:top acceleration") == [("4000 mm/s²", work), ("3000 mm/s²", begun)]
    git(folder, "checkout", "--quiet", "-b", "third", begun)
    third = edit(folder, "heat.ini", "110", "90")
    git(folder, "checkout", "--quiet", "work")
    git(folder, "merge", "--quiet", "--no-commit", "--strategy=ours", "third")
    merged = edit(folder, "heat.ini", "120", "100")
    assert values(folder, "heater bed:highest")[0] == ("100 °C", merged)
    assert {one for _, one in values(folder, "heater bed:highest")} == {begun, side, third, merged}


def test_marks_stand_at_the_value_that_held(folder: Path, begun: str) -> None:
    git(folder, "tag", "--annotate", "--message=one", "good/2026-01-01")
    edit(folder, "gantry.ini", "3000", "4000")
    git(folder, "tag", "--annotate", "--message=two", "good/2026-01-02")
    edit(folder, "heat.ini", "110", "120")
    git(folder, "tag", "--annotate", "--message=three", "good/2026-01-03")
    (found,) = setting_timelines(past_of(folder), read_pattern("heater bed:highest"))
    marks = [sorted(mark.name for mark in one.marks) for one in found.moments]
    assert marks == [["good/2026-01-03"], ["good/2026-01-01", "good/2026-01-02"]]


def test_since(folder: Path, begun: str) -> None:
    """What happened after a commit, and what was in force then."""
    one = edit(folder, "heat.ini", "110", "120")
    start = edit(folder, "gantry.ini", "3000", "4000")
    other = edit(folder, "heat.ini", "120", "125")
    (found,) = setting_timelines(past_of(folder), read_pattern("*:*"), start)
    assert [moment.commit and moment.commit.id for moment in found.moments] == [other, one]


def test_several_settings_in_the_order_of_the_files(folder: Path, begun: str) -> None:
    edit(folder, "heat.ini", "lowest = 5 °C\n", "")
    found = setting_timelines(past_of(folder), read_pattern("heater bed:*"))
    assert [one.now and one.now.setting for one in found] == ["drive", "thermometer", "highest", None]


def test_a_fact(folder: Path, begun: str) -> None:
    """200 full steps of 1.8 degrees, 16 microsteps, 40 mm a turn: 80 steps a millimetre; twice with 32."""
    edit(folder, "heat.ini", "110", "120")
    finer = edit(folder, "gantry.ini", "microsteps = 16", "microsteps = 32")
    unreadable = edit(folder, "gantry.ini", "travel per turn = 40 mm", "travel per turn = some")
    back = edit(folder, "gantry.ini", "travel per turn = some", "travel per turn = 40 mm")
    (found,) = fact_timelines(past_of(folder), "axis.x.steps_per_mm")
    told = [(one.held and one.held.value, one.commit and one.commit.id) for one in found.moments]
    assert told == [(160, back), (None, unreadable), (160, finer), (80, begun)]
    newest = found.moments[0].held
    assert newest is not None
    assert [one.value for one in newest.sources] == ["200", "32", "40 mm"]


def test_a_fact_of_a_renamed_part(folder: Path, begun: str) -> None:
    commit(folder, "rated", {"heat.ini": HEAT + "rating = 150 W\n"})
    edit(folder, "heat.ini", "[heater bed]", "[heater plate]")
    edit(folder, "heat.ini", "150 W", "200 W")
    (found,) = fact_timelines(past_of(folder), "heater.plate.watts")
    told = [one.held and (one.held.name, one.held.value) for one in found.moments]
    assert told == [("heater.plate.watts", 200), ("heater.plate.watts", 150), ("heater.bed.watts", 150)]


CHANGES = st.lists(
    st.sampled_from(
        [
            ("gantry.ini", "microsteps = ", ("16", "32", "x")),
            ("gantry.ini", "travel per turn = ", ("40 mm", "32 mm")),
            ("gantry.ini", "top acceleration = ", ("3000 mm/s²", "4000 mm/s²")),
            ("heat.ini", "highest = ", ("110 °C", "120 °C")),
            ("heat.ini", "[heater ", ("bed]", "plate]")),
            ("main.ini", "%include ", ("gantry.ini", "nothing.ini")),
        ]
    ).flatmap(lambda one: st.tuples(st.just(one[0]), st.just(one[1]), st.sampled_from(one[2]))),
    min_size=1,
    max_size=6,
)


@settings(max_examples=12, deadline=None)
@given(CHANGES)
def test_facts_are_those_of_every_commit(
    tmp_path_factory: pytest.TempPathFactory, changes: list[tuple[str, str, str]]
) -> None:
    """Against an understanding of every commit, where only some are looked at."""
    folder = tmp_path_factory.mktemp("machine")
    git(folder, "init", "--quiet", "--initial-branch=work")
    files = dict(FILES)
    commit(folder, "begin", files)
    for rank, (name, start, value) in enumerate(changes):
        lines = files[name].split("\n")
        at = next(at for at, line in enumerate(lines) if line.startswith(start) and "heat.ini" not in line)
        lines[at] = f"{start}{value}"
        files[name] = "\n".join(lines)
        commit(folder, str(rank), files)
    past = past_of(folder)
    for name in ("axis.x.steps_per_mm", "axis.x.step_size"):
        seen: list[object] = []
        for state in past.line:
            subject = past.subject(state.id)
            found = None if subject is None else subject.facts.get(name)
            if (found and found.value) != (seen[-1] if seen else None):
                seen.append(found and found.value)
        told = fact_timelines(past, name)
        assert [one.held and one.held.value for line in told for one in reversed(line.moments)] == seen


def test_the_nearest_name(folder: Path, begun: str) -> None:
    tree = [past_of(folder).tree(NOW), None]
    assert nearest_setting(tree, "heater bed:hihest") == "heater bed:highest"
    assert nearest_setting(tree, "heter bed:highest") == "heater bed:highest"
    assert nearest_setting(tree, "*:top aceleration") == "*:top acceleration"
    assert nearest_setting(tree, "qqqqqqqq:zzzzzzzzzzz") is None


def test_threads_that_exchange_their_names() -> None:
    """a becomes b while b becomes a: each keeps its own line."""
    line = [("1", ()), ("2", ("1",)), ("3", ("2",))]
    holdings = {"1": {"a": 1, "b": 2}, "2": {"c": 1, "b": 2}, "3": {"c": 1, "a": 2}}
    renames = {("1", "2"): {"c": "a"}, ("2", "3"): {"a": "b"}}
    found = follow(line, holdings, lambda one, other: one == other, renames)
    assert [
        [(event.state, event.name, event.held) for event in thread.events] for thread in found.threads
    ] == [
        [("1", "a", 1), ("2", "c", 1)],
        [("1", "b", 2), ("3", "a", 2)],
    ]
