"""Files that nothing includes: told only where the others show that they should be."""

from __future__ import annotations

from cfgaudit.source import Memory
from cfgaudit.tree.resolve import TreeOptions, resolve

MAIN = "%include fans.ini\n[bed]\nsize = 1\n"
FANS = "[fan]\nspeed = 1\n"
PART = "[lamp]\npin = PA1\n"


def strangers(files: dict[str, str], options: TreeOptions | None = None) -> list[str]:
    held = {"main.ini": MAIN, "fans.ini": FANS, **files}
    source = Memory({path: text.encode() for path, text in held.items()})
    return list(resolve(source, "main.ini", options or TreeOptions()).strangers)


def test_file_that_nothing_includes() -> None:
    assert strangers({"lamp.ini": PART, "old/lamp.ini": PART}) == ["lamp.ini", "old/lamp.ini"]


def test_nothing_is_strange_about_the_files_reached() -> None:
    assert strangers({}) == []


def test_other_suffixes_hidden_files_and_backups_do_not_count() -> None:
    files = [
        "lamp.cfg",
        "README",
        "notes.md",
        ".lamp.ini",
        ".old/lamp.ini",
        "lamp.ini~",
        "lamp.ini.bak",
        "lamp.bak",
    ]
    assert strangers(dict.fromkeys(files, PART)) == []


def test_main_file_of_another_machine_and_what_it_includes_are_used() -> None:
    files = {
        "second.ini": "%include parts/lamp.ini\n",
        "parts/lamp.ini": "%include deep.ini\n",
        "parts/deep.ini": PART,
    }
    assert strangers(files) == []


def test_file_that_another_main_file_names_in_vain_changes_nothing() -> None:
    assert strangers({"second.ini": "%include none.ini\n", "lamp.ini": PART}) == ["lamp.ini"]


def test_main_file_that_includes_nothing_says_nothing() -> None:
    assert strangers({"main.ini": "[bed]\n", "lamp.ini": PART}) == []


def test_prose_and_binaries_do_not_count() -> None:
    main = {"main.ini": "%include fans.txt\n", "fans.txt": FANS}
    prose = "How to build it.\nFirst do this, then that.\n[see below]\nNote: take care\nIt is not hard.\n"
    files = {"read-me.txt": prose, "lamp.txt": PART, "blob.txt": "\0" * 99}
    assert strangers({**main, **files}) == ["fans.ini", "lamp.txt"]


def test_many_candidates_say_nothing() -> None:
    assert strangers({f"{number}.ini": PART for number in range(201)}) == []
    assert len(strangers({f"{number}.ini": PART for number in range(200)})) == 200


def test_looking_can_be_left_out() -> None:
    assert strangers({"lamp.ini": PART}, TreeOptions(strangers=False)) == []
