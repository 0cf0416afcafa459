"""The main file where nobody names it."""

from __future__ import annotations

import pytest

from cfgaudit.source import Memory, SourceError
from cfgaudit.tree.main_file import find_main

PART = "[fan]\nspeed = 1\n"
PROSE = """# Machine

Built in a shed.

[plan](plan.png)

    [fan]
    speed = 1

Note: include the lamp.
That is all.
"""


def main_of(files: dict[str, str | bytes]) -> str:
    return find_main(
        Memory({path: text.encode() if isinstance(text, str) else text for path, text in files.items()})
    )


def refusal(files: dict[str, str | bytes]) -> str:
    with pytest.raises(SourceError) as caught:
        main_of(files)
    message = str(caught.value)
    assert "\n" not in message
    return message


def test_the_one_that_includes_others() -> None:
    assert main_of({"a.ini": PART, "z.ini": "%include a.ini\n", "b.ini": PART}) == "z.ini"


def test_the_one_that_no_other_includes() -> None:
    assert main_of({"a.ini": "%include b.ini\n", "b.ini": "%include c.ini\n", "c.ini": PART}) == "a.ini"


def test_a_file_that_includes_itself_is_not_another() -> None:
    assert main_of({"a.ini": "%include a.ini\n", "b.ini": PART}) == "a.ini"


@pytest.mark.parametrize(
    "name", ["machine.ini", "machine.cfg", "machine.conf", "machine.config", "machine.cnf"]
)
def test_the_only_one(name: str) -> None:
    assert (
        main_of({name: PART, "README": PROSE, "notes.txt": PROSE, "plan.png": b"\x89PNG" + bytes(99)}) == name
    )


@pytest.mark.parametrize("name", ["machine", "machine.printer", "machine.txt"])
def test_any_suffix_counts_by_what_the_file_holds(name: str) -> None:
    assert main_of({name: PART, "README.txt": PROSE}) == name


def test_any_suffix_counts_for_files_that_only_include() -> None:
    assert (
        main_of({"machine": "# all of it\n%include parts\n", "parts/a": PART, "parts/b": PART}) == "machine"
    )


@pytest.mark.parametrize(
    "name",
    [
        "cfgaudit.toml",
        "README.md",
        ".hidden.ini",
        ".git/config",
        "a.ini~",
        "a.ini.bak",
        "up.service",
        "a.log",
    ],
)
def test_files_that_never_count(name: str) -> None:
    assert main_of({"machine.ini": PART, name: PART}) == "machine.ini"
    assert "no configuration file" in refusal({name: PART})


def test_none() -> None:
    assert "no configuration file" in refusal({})
    assert "no configuration file" in refusal(
        {"README": PROSE, "notes.txt": "Include this.\nTake care: hot.\n"}
    )


def test_several_are_listed() -> None:
    assert "2 files may be the main one (a.ini, b.ini)" in refusal({"a.ini": PART, "b.ini": PART})
    both = {"a.ini": "%include p.ini\n", "b.ini": "%include p.ini\n", "p.ini": PART}
    assert "(a.ini, b.ini)" in refusal(both)
    assert "and 4 more" in refusal({f"{number}.ini": PART for number in range(10)})


def test_a_ring_of_files_has_no_main_one() -> None:
    assert "(a.ini, b.ini)" in refusal({"a.ini": "%include b.ini\n", "b.ini": "%include a.ini\n"})


def test_nearer_folders_come_first() -> None:
    whole = {"main.ini": "%include fans.ini\n", "fans.ini": PART}
    assert main_of({**whole, **{f"copy/{path}": text for path, text in whole.items()}}) == "main.ini"
    assert (
        main_of({"config/main.ini": "%include fans.ini\n", "config/fans.ini": PART, "tox.ini": PART})
        == "config/main.ini"
    )
    assert "one/a.ini, two/a.ini" in refusal({"one/a.ini": PART, "two/a.ini": PART})


def test_large_files_are_not_read_for_this() -> None:
    assert main_of({"machine.ini": PART, "large.ini": "[a]\nk = 1\n" * 200_000}) == "machine.ini"
