"""From files to one tree: order, merging, and what each place says."""

from __future__ import annotations

import pytest

from cfgaudit.source import Memory, MissingFile, SourceError
from cfgaudit.syntax.dialect import Traits
from cfgaudit.tree.config_tree import ConfigTree, Section, Setting
from cfgaudit.tree.resolve import TreeOptions, resolve


def tree_of(**files: str) -> ConfigTree:
    """The tree of ``main.ini``; a keyword ``parts__fans`` is the file ``parts/fans.ini``."""
    named = {f"{name.replace('__', '/')}.ini": text.encode() for name, text in files.items()}
    return resolve(Memory(named), "main.ini")


def section(tree: ConfigTree, name: str) -> Section:
    return next(one for one in tree.sections if one.name == name)


def setting(tree: ConfigTree, name: str, key: str) -> Setting:
    return next(one for one in section(tree, name).settings if one.name == key)


def values(tree: ConfigTree) -> dict[str, dict[str, str]]:
    return {one.name: {entry.name: entry.value for entry in one.settings} for one in tree.sections}


FORMS = [
    "%include fans.ini",
    "!include fans.ini",
    "@include fans.ini",
    "include = fans.ini",
    "[include]\npath = fans.ini",
    "[include fans.ini]",
    '%include "./fans.ini"',
    "!includedir more",
]


@pytest.mark.parametrize("directive", FORMS)
def test_every_form_includes_at_its_place(directive: str) -> None:
    files = {"main.ini": f"{directive}\n[bed]\nsize = 2\n", "fans.ini": "[fan]\nspeed = 1\n"}
    files["more/fans.ini"] = files["fans.ini"]
    tree = resolve(Memory({path: text.encode() for path, text in files.items()}), "main.ini")
    assert values(tree) == {"fan": {"speed": "1"}, "bed": {"size": "2"}}
    assert not tree.faults
    assert len(tree.documents) == 2


def test_files_are_read_depth_first_where_the_directive_stands() -> None:
    tree = tree_of(
        main="[a]\nk = 1\n%include one.ini\n[a]\nk = 4\n",
        one="[a]\nk = 2\n%include two.ini\n",
        two="[a]\nk = 3\n",
    )
    assert [(one.file, one.value) for one in setting(tree, "a", "k").occurrences] == [
        ("main.ini", "1"),
        ("one.ini", "2"),
        ("two.ini", "3"),
        ("main.ini", "4"),
    ]
    assert list(tree.documents) == ["main.ini", "one.ini", "two.ini"]
    assert [one.value for one in setting(tree, "a", "k").shadows] == ["3", "2", "1"]


def test_documents_stand_in_reading_order_for_a_glob_too() -> None:
    tree = tree_of(main="%include p/*.ini\n", p__a="%include ../z.ini\n", p__b="", z="")
    assert list(tree.documents) == ["main.ini", "p/a.ini", "z.ini", "p/b.ini"]
    assert [(one.file, one.files) for one in tree.inclusions] == [
        ("main.ini", ("p/a.ini", "p/b.ini")),
        ("p/a.ini", ("z.ini",)),
    ]


def test_paths_are_relative_to_the_including_file() -> None:
    tree = tree_of(
        main="%include p/a.ini\n", p__a="%include b.ini\n%include ../c.ini\n", p__b="", c="", b="[no]\n"
    )
    assert list(tree.documents) == ["main.ini", "p/a.ini", "p/b.ini", "c.ini"]


def test_leading_entries_join_the_section_at_the_directive() -> None:
    tree = tree_of(
        main="[fan]\npin = 1\n%include speed.ini\ntach = 3\n[bed]\n", speed="speed = 2\n[lamp]\nx = 1\n"
    )
    assert values(tree)["fan"] == {"pin": "1", "speed": "2", "tach": "3"}
    assert values(tree)["lamp"] == {"x": "1"}


def test_header_form_opens_no_section() -> None:
    tree = tree_of(main="[fan]\npin = 1\n[include speed.ini]\ntach = 3\n", speed="[lamp]\nx = 1\n")
    assert values(tree) == {"fan": {"pin": "1", "tach": "3"}, "lamp": {"x": "1"}}


def test_bare_include_section_is_none_unless_it_holds_something() -> None:
    tree = tree_of(main="[fan]\npin = 1\n[include]\npath = speed.ini\n", speed="speed = 2\n")
    assert values(tree) == {"fan": {"pin": "1", "speed": "2"}}
    tree = tree_of(main="[fan]\npin = 1\n[include]\npath = speed.ini\nstrict = yes\n", speed="")
    assert values(tree) == {"fan": {"pin": "1"}, "include": {"strict": "yes"}}


def test_entries_before_any_header_stand_in_the_nameless_section() -> None:
    tree = tree_of(main="k = 1\n[a]\nk = 2\n")
    assert values(tree) == {"": {"k": "1"}, "a": {"k": "2"}}
    assert section(tree, "").place is None
    assert "" not in values(tree_of(main="[a]\nk = 2\n"))


def test_names_merge_over_files_in_any_spelling() -> None:
    tree = tree_of(
        main='[Fan "left"]\nMax Speed = 1\n%include other.ini\n',
        other="[fan_LEFT]\nmax-speed = 2\n[fan.left]\nmaxSpeed: 3\n",
    )
    (only,) = tree.sections
    assert (only.name, only.key, len(only.openings)) == ("Fan left", "fanleft", 3)
    (speed,) = only.settings
    assert (speed.name, speed.key, speed.value, len(speed.occurrences)) == ("Max Speed", "maxspeed", "3", 3)


def test_places_name_the_file_that_the_value_stands_in() -> None:
    tree = tree_of(main="%include a.ini\n", a="[fan]\nspeed =  12\nnote =\n")
    speed, note = section(tree, "fan").settings
    assert str(speed.place) == "a.ini:2:10"
    assert (speed.place.end_line, speed.place.end_column) == (2, 12)
    assert str(speed.effective.key_place) == "a.ini:2:1"
    assert str(note.place) == "a.ini:3:1"
    assert str(section(tree, "fan").place) == "a.ini:1:2"


MACHINE = """[heater bed]
p = 1
#! [heater bed]
#! p = 7
#! [probe]
#! offset = 3
[heater bed]
p = 2
"""


def test_machine_written_values_win_wherever_they_stand() -> None:
    tree = tree_of(main=MACHINE)
    found = setting(tree, "heater bed", "p")
    assert [one.author for one in found.occurrences] == ["hand", "machine", "hand"]
    assert found.value == "7"
    assert [one.value for one in found.shadows] == ["2", "1"]


def test_machine_written_headers_do_not_end_a_hand_written_section() -> None:
    tree = tree_of(main=MACHINE.replace("[heater bed]\np = 2", "i = 2"))
    assert values(tree) == {"heater bed": {"p": "7", "i": "2"}, "probe": {"offset": "3"}}


def test_file_included_twice_is_applied_again() -> None:
    tree = tree_of(main="%include a.ini\n[fan]\nspeed = 2\n%include a.ini\n", a="[fan]\nspeed = 1\npin = 9\n")
    speed = setting(tree, "fan", "speed")
    assert speed.value == "1"
    assert [(one.file, one.value) for one in speed.occurrences] == [("main.ini", "2"), ("a.ini", "1")]
    assert len(setting(tree, "fan", "pin").occurrences) == 1
    assert len(section(tree, "fan").openings) == 2
    assert len(tree.inclusions) == 2


def test_leading_entries_of_a_file_included_twice_join_both_sections() -> None:
    tree = tree_of(main="[fan a]\n%include s.ini\n[fan b]\n%include s.ini\n", s="speed = 1\n")
    assert values(tree) == {"fan a": {"speed": "1"}, "fan b": {"speed": "1"}}


@pytest.mark.parametrize(
    ("target", "files"),
    [
        ("p/*.ini", ["p/a.ini", "p/b.ini"]),
        ("p/?.ini", ["p/a.ini", "p/b.ini"]),
        ("**/*.ini", ["p/a.ini", "p/b.ini", "p/q/c.ini"]),
        ("p/**/c.ini", ["p/q/c.ini"]),
        ("p", ["p/a.ini", "p/b.ini", "p/note.txt"]),
        ("p/", ["p/a.ini", "p/b.ini", "p/note.txt"]),
        (".//p//./a.ini", ["p/a.ini"]),
        (r"p\a.ini", ["p/a.ini"]),
        (r"p\*.ini", ["p/a.ini", "p/b.ini"]),
        ("*.ini", []),
    ],
)
def test_targets(target: str, files: list[str]) -> None:
    held = ["p/a.ini", "p/b.ini", "p/b.ini~", "p/.h.ini", "p/note.txt", "p/q/c.ini", ".git/x.ini"]
    source = Memory({"main.ini": f"%include {target}\n".encode(), **dict.fromkeys(held, b"")})
    tree = resolve(source, "main.ini")
    assert list(tree.documents)[1:] == files
    assert [fault.kind for fault in tree.faults] == ([] if files else ["include-matches-nothing"])


def test_back_slash_is_a_letter_where_a_file_has_it() -> None:
    tree = resolve(Memory({"main.ini": rb"%include p\a.ini", r"p\a.ini": b"", "p/a.ini": b""}), "main.ini")
    assert list(tree.documents) == ["main.ini", r"p\a.ini"]


def test_main_file_in_a_folder() -> None:
    tree = resolve(Memory({"m/main.ini": b"%include ../a.ini\n", "a.ini": b""}), "./m//main.ini")
    assert tree.main == "m/main.ini"
    assert list(tree.documents) == ["m/main.ini", "a.ini"]


def test_main_file_missing_or_binary() -> None:
    with pytest.raises(MissingFile):
        resolve(Memory({}), "main.ini")
    with pytest.raises(SourceError, match="binary"):
        resolve(Memory({"main.ini": bytes(range(256)) * 10}), "main.ini")


def test_stray_nul_is_read() -> None:
    tree = resolve(Memory({"main.ini": b"[fan]\nspeed = 1\0\npin = 2\n"}), "main.ini")
    assert setting(tree, "fan", "pin").value == "2"


def test_traits_reach_every_file() -> None:
    files = {"main.ini": b"%include a.ini\n", "a.ini": b"[fan]\na:b = 1\n"}
    tree = resolve(Memory(files), "main.ini", TreeOptions(Traits(separator="=")))
    assert setting(tree, "fan", "a:b").value == "1"


def test_odd_names_stay_apart() -> None:
    tree = tree_of(main="top = 0\n[--]\n_ = 1\n- = 2\n['']\nx = 1\n")
    assert values(tree)["--"] == {"_": "1", "-": "2"}
    assert values(tree)[""] == {"top": "0"}
