"""The tree as text: each file once in full, however often it is included."""

from __future__ import annotations

from cfgaudit.report.lines import plain
from cfgaudit.report.tree import tree_form, tree_lines
from cfgaudit.source import Memory
from cfgaudit.tree.config_tree import ConfigTree
from cfgaudit.tree.resolve import resolve


def tree_of(files: dict[str, str]) -> ConfigTree:
    return resolve(Memory({path: text.encode() for path, text in files.items()}), next(iter(files)))


def shown(files: dict[str, str], width: int = 80) -> list[str]:
    return [plain(one) for one in tree_lines(tree_of(files), width)]


def test_files_that_include_one_another_twice() -> None:
    """Thirty files, each including the next one twice: a line for every directive, not for every way."""
    files = {f"f{at:02}.ini": f"%include f{at + 1:02}.ini\n" * 2 for at in range(29)} | {
        "f29.ini": "[fan a]\n"
    }
    lines = shown(files)
    assert sum(one.lstrip().startswith("f29.ini") for one in lines) == 2
    assert 0 < sum("again, as above" in one for one in lines) <= 29
    assert len(lines) < 400


def test_who_includes_whom() -> None:
    lines = shown(
        {"m.ini": "%include a.ini\n%include b.ini\n", "a.ini": "%include c.ini\n", "b.ini": "", "c.ini": ""}
    )
    files = [one.split("  ·")[0].rstrip() for one in lines if ".ini  " in one]
    assert [one[: one.index(".ini")] for one in files] == ["m", "  a", "    c", "  b"]


def test_what_a_file_does_in_another_way_than_the_main_file() -> None:
    lines = shown(
        {"m.ini": "a = 1\n%include b.ini\n%include c.ini\n", "b.ini": "b : 2\n", "c.ini": "c = 3\n"}
    )
    start = next(number for number, one in enumerate(lines) if "b.ini  " in one)
    end = next(number for number, one in enumerate(lines) if "c.ini  " in one)
    assert any("separator: :" in one for one in lines[start:end])
    assert not any("separator" in one for one in lines[end:])


def test_shadowed_settings() -> None:
    lines = shown({"m.ini": "[fan a]\npin = PA1\n%include b.ini\n", "b.ini": "[fan a]\npin = PA2\n"})
    at = lines.index("  [fan a] pin")
    assert lines[at + 1 : at + 3] == ["      PA2 (b.ini:2, counts)", "      PA1 (m.ini:2, has no effect)"]


def test_faults_are_told_by_what_says_most() -> None:
    lines = shown({"m.ini": "%include a.ini\n", "a.ini": "%include m.ini\n%include gone.ini\n"})
    told = " ".join(lines)
    assert "include-cycle: m.ini > a.ini > m.ini (a.ini:1)" in told
    assert "include-missing: gone.ini (a.ini:2)" in told


def test_each_includer_once() -> None:
    form = tree_form(tree_of({"m.ini": "%include a.ini\n%include a.ini\n", "a.ini": "x = 1\n"}))
    assert [(one["path"], one["included_by"]) for one in form["files"]] == [
        ("m.ini", []),
        ("a.ini", ["m.ini"]),
    ]
