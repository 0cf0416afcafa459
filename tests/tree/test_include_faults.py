"""What can be wrong with an include: one fault at the directive, and the rest is read all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from cfgaudit.source import Memory
from cfgaudit.tree import resolve as resolving
from cfgaudit.tree.config_tree import ConfigTree, TreeFault
from cfgaudit.tree.resolve import resolve
from cfgaudit.working_tree import WorkingTree


def tree_of(files: dict[str, str | bytes], *allowed: str) -> ConfigTree:
    held = {path: text.encode() if isinstance(text, str) else text for path, text in files.items()}
    return resolve(Memory(held, allowed=allowed), "main.ini")


def only(tree: ConfigTree) -> TreeFault:
    (fault,) = tree.faults
    return fault


def kinds(tree: ConfigTree) -> list[str]:
    return [fault.kind for fault in tree.faults]


def test_missing_names_the_directive_and_the_nearest_path() -> None:
    tree = tree_of(
        {"main.ini": "[a]\n%include parts/fnas.ini\nk = 1\n", "parts/fans.ini": "", "parts/fans.txt": ""}
    )
    fault = only(tree)
    assert (fault.kind, fault.target, fault.detail) == ("include-missing", "parts/fnas.ini", "parts/fans.ini")
    assert str(fault.place) == "main.ini:2:10"
    assert fault.place.end_column == 24
    assert [setting.value for setting in tree.settings()] == ["1"]
    assert tree.inclusions[0].files == ()


@pytest.mark.parametrize(
    ("target", "near"),
    [
        ("fans.ini", "parts/fans.ini"),
        ("other/fans.ini", "parts/fans.ini"),
        ("lights.ini", "light.ini"),
        ("nothing-like-it.ini", ""),
        ("fans", "parts/fans"),
        ("fans.conf", ""),
    ],
)
def test_nearest(target: str, near: str) -> None:
    files = {"main.ini": f"%include {target}\n", "parts/fans.ini": "", "light.ini": "", "parts/fans": ""}
    assert only(tree_of(files)).detail == near


def test_missing_in_an_included_file_is_told_there() -> None:
    tree = tree_of({"main.ini": "%include p/a.ini\n", "p/a.ini": "\n%include b.ini\n"})
    assert str(only(tree).place) == "p/a.ini:2:10"


def test_empty_target_includes_nothing() -> None:
    assert list(tree_of({"main.ini": '%include ""\n', "a.ini": ""}).documents) == ["main.ini"]


@pytest.mark.parametrize(
    "directive", ["%include p/*.cfg", "%include no/*.ini", "%include **/x.ini", "!includedir e"]
)
def test_matches_nothing(directive: str) -> None:
    tree = tree_of({"main.ini": directive, "p/a.ini": "", "e/.hidden.ini": "", "e/a.ini~": ""})
    assert kinds(tree) == ["include-matches-nothing"]


def test_folder_that_is_missing_and_folder_that_is_a_file() -> None:
    assert kinds(tree_of({"main.ini": "!includedir parts"})) == ["include-missing"]
    fault = only(tree_of({"main.ini": "!includedir a.ini", "a.ini": ""}))
    assert (fault.kind, fault.detail) == ("include-matches-nothing", "a.ini is a file, not a folder")


def test_cycle_names_its_chain_and_is_not_followed() -> None:
    tree = tree_of(
        {
            "main.ini": "%include a.ini\n[main]\nk = 1\n",
            "a.ini": "%include b.ini\n[a]\nk = 1\n",
            "b.ini": "%include a.ini\n[b]\nk = 1\n",
        }
    )
    fault = only(tree)
    assert (fault.kind, fault.detail) == ("include-cycle", "a.ini > b.ini > a.ini")
    assert str(fault.place) == "b.ini:1:10"
    assert [str(place) for place in fault.related] == ["a.ini:1:10"]
    assert [section.name for section in tree.sections] == ["b", "a", "main"]


def test_file_that_includes_itself() -> None:
    fault = only(tree_of({"main.ini": "%include main.ini\n"}))
    assert (fault.kind, fault.detail) == ("include-cycle", "main.ini > main.ini")


def test_twice_points_to_the_first_time() -> None:
    tree = tree_of(
        {"main.ini": "%include a.ini\n%include p/b.ini\n", "a.ini": "", "p/b.ini": "%include ../a.ini\n"}
    )
    fault = only(tree)
    assert (fault.kind, fault.detail) == ("include-twice", "a.ini")
    assert str(fault.place) == "p/b.ini:1:10"
    assert [str(place) for place in fault.related] == ["main.ini:1:10"]


def test_faults_of_a_file_included_twice_are_told_once() -> None:
    tree = tree_of(
        {
            "main.ini": "%include a.ini\n%include a.ini\n",
            "a.ini": "%include b.ini\n%include none.ini\n",
            "b.ini": "",
        }
    )
    assert kinds(tree) == ["include-missing", "include-twice"]
    assert [one.file for one in tree.inclusions] == ["main.ini", "a.ini", "a.ini", "main.ini"]


@pytest.mark.parametrize(
    "target", ["../out.ini", "p/../../out.ini", "/etc/hostname", "../*.ini", "..", r"..\out.ini"]
)
def test_leaving_the_root(target: str) -> None:
    tree = tree_of({"main.ini": f"%include {target}\n[a]\n", "../out.ini": "[out]\n"})
    fault = only(tree)
    assert fault.kind == "include-leaves-root"
    assert "allow it by name" in fault.detail
    assert [section.name for section in tree.sections] == ["a"]


@pytest.mark.parametrize("target", ["../out.ini", "../*.ini", "..", r"..\out.ini"])
def test_leaving_the_root_where_allowed(target: str) -> None:
    tree = tree_of({"main.ini": f"%include {target}\n", "../out.ini": "[out]\n"}, "../out.ini")
    assert not tree.faults
    assert list(tree.documents) == ["main.ini", "../out.ini"]


@pytest.mark.parametrize("target", ["link.ini", "*.ini", "away/out.ini", "away", "away/*.ini"])
def test_link_that_leaves_the_root(tmp_path: Path, target: str) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "out.ini").write_text("[out]\n")
    root = tmp_path / "machine"
    root.mkdir()
    (root / "main.ini").write_text(f"%include {target}\n")
    (root / "link.ini").symlink_to("../out/out.ini")
    (root / "away").symlink_to("../out")
    tree = resolve(WorkingTree(root), "main.ini")
    assert kinds(tree) == ["include-leaves-root"]
    assert list(tree.documents) == ["main.ini"]


def test_absolute_path_below_the_root(tmp_path: Path) -> None:
    (tmp_path / "main.ini").write_text(f"%include {tmp_path}/a.ini\n%include {tmp_path}/p\n")
    (tmp_path / "a.ini").touch()
    (tmp_path / "p").mkdir()
    (tmp_path / "p" / "b.ini").touch()
    tree = resolve(WorkingTree(tmp_path), str(tmp_path / "main.ini"))
    assert (tree.main, list(tree.documents)) == ("main.ini", ["main.ini", "a.ini", "p/b.ini"])
    assert not tree.faults


@pytest.mark.parametrize(
    ("target", "held", "read", "other"),
    [
        ("Fans.ini", ["fans.ini"], "fans.ini", "fans.ini"),
        ("parts/a.ini", ["Parts/a.ini"], "Parts/a.ini", "Parts/a.ini"),
        ("fans.ini", ["fans.ini", "FANS.INI"], "fans.ini", "FANS.INI"),
        ("PARTS", ["parts/a.ini"], "parts/a.ini", "parts"),
        ("k\u00fchler.ini", ["ku\u0308hler.ini"], "ku\u0308hler.ini", "ku\u0308hler.ini"),
    ],
)
def test_case(target: str, held: list[str], read: str, other: str) -> None:
    tree = tree_of({"main.ini": f"%include {target}\n", **dict.fromkeys(held, "")})
    fault = only(tree)
    assert (fault.kind, fault.target, fault.detail) == ("include-case", target, other)
    assert list(tree.documents) == ["main.ini", read]


def test_case_within_a_glob() -> None:
    tree = tree_of({"main.ini": "%include p/*.ini\n", "p/A.ini": "", "p/a.ini": "", "p/b.ini": ""})
    assert (only(tree).kind, only(tree).detail) == ("include-case", "p/A.ini")
    assert len(tree.documents) == 4


def test_unreadable_says_why() -> None:
    tree = tree_of(
        {"main.ini": "%include a.bin\n%include p\n", "a.bin": bytes(range(256)), "p/b.bin": b"\0" * 99}
    )
    assert kinds(tree) == ["include-unreadable", "include-unreadable"]
    assert all("binary" in fault.detail for fault in tree.faults)
    assert tree.inclusions[1].files == ()


def test_too_large_says_why() -> None:
    tree = tree_of({"main.ini": "%include a.ini\n", "a.ini": b" " * (50 * 1024 * 1024)})
    assert "a.ini is 50 MiB" in only(tree).detail


def test_pipe_and_missing_link(tmp_path: Path) -> None:
    import os

    os.mkfifo(tmp_path / "pipe.ini")
    (tmp_path / "p").mkdir()
    (tmp_path / "p" / "gone.ini").symlink_to("never.ini")
    (tmp_path / "main.ini").write_text("%include pipe.ini\n%include p/*.ini\n")
    tree = resolve(WorkingTree(tmp_path), "main.ini")
    assert kinds(tree) == ["include-unreadable", "include-missing"]


def test_depth_is_limited() -> None:
    files: dict[str, str | bytes] = {f"f{n}.ini": f"%include f{n + 1}.ini\n[s{n}]\n" for n in range(200)}
    tree = tree_of({"main.ini": "%include f0.ini\n", **files})
    assert kinds(tree) == ["include-unreadable"]
    assert "64 deep" in only(tree).detail
    assert len(tree.documents) == 65


def test_number_of_files_is_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(resolving, "INCLUSIONS_AT_MOST", 20)
    tree = tree_of(
        {
            "main.ini": "%include p\n%include q.ini\n[a]\n",
            **{f"p/{n}.ini": "" for n in range(50)},
            "q.ini": "",
        }
    )
    assert kinds(tree) == ["include-unreadable"]
    assert "more than 20 files" in only(tree).detail
    assert len(tree.documents) == 21


def test_files_that_include_the_next_twice_end() -> None:
    files: dict[str, str | bytes] = {f"f{n}.ini": f"%include f{n + 1}.ini\n" * 2 for n in range(60)}
    tree = tree_of({"main.ini": "%include f0.ini\n", **files, "f60.ini": "[end]\nk = 1\n"})
    assert len(tree.documents) <= 62
    assert set(kinds(tree)) <= {"include-twice", "include-unreadable"}


def test_linked_folder_in_itself_ends(tmp_path: Path) -> None:
    (tmp_path / "loop").symlink_to(".")
    (tmp_path / "main.ini").write_text("%include loop/main.ini\n%include **/*.ini\n")
    tree = resolve(WorkingTree(tmp_path), "main.ini")
    assert set(kinds(tree)) <= {"include-unreadable", "include-matches-nothing", "include-missing"}
