"""Paths and patterns."""

from __future__ import annotations

import posixpath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.listing import folders_of
from cfgaudit.paths import (
    Allowance,
    Pattern,
    alike,
    composed,
    is_backup,
    is_hidden,
    join,
    leaves_root,
    normalise,
)

PATHS = st.text(st.sampled_from("ab./*?é"), max_size=12)


def matches(pattern: str, path: str) -> bool:
    glob = Pattern(pattern)
    state = glob.start()
    for name in path.split("/"):
        state = glob.step(state, name)
    return glob.complete(state)


@given(PATHS)
def test_normalise_agrees_with_posixpath(path: str) -> None:
    expected = posixpath.normpath(path).replace("//", "/")
    assert normalise(path) == ("" if expected == "." else expected)
    assert normalise(normalise(path)) == normalise(path)


@pytest.mark.parametrize(
    ("folder", "path", "expected"),
    [
        ("", "a.ini", "a.ini"),
        ("parts", "a.ini", "parts/a.ini"),
        ("parts", "../a.ini", "a.ini"),
        ("parts", "../../a.ini", "../a.ini"),
        ("parts", "/a.ini", "/a.ini"),
        ("parts", "..", ""),
    ],
)
def test_join(folder: str, path: str, expected: str) -> None:
    assert join(folder, path) == expected


@pytest.mark.parametrize("path", ["..", "../a", "/a", "../../a"])
def test_leaves_root(path: str) -> None:
    assert leaves_root(path)


@pytest.mark.parametrize("path", ["", "a", "..a", "..a/b", "a/b"])
def test_stays_below_root(path: str) -> None:
    assert not leaves_root(path)


def test_hidden() -> None:
    assert is_hidden(".a")
    assert is_hidden("a/.b/c")
    assert is_hidden("../.a")
    assert not is_hidden("a.b/c")
    assert not is_hidden("../a")
    assert not is_hidden("")


@pytest.mark.parametrize(
    "path", ["a.ini~", "parts/a.ini.bak", "a.OLD", "#a.ini#", "a.ini.orig", ".a.ini.swp"]
)
def test_backup(path: str) -> None:
    assert is_backup(path)


@pytest.mark.parametrize("path", ["a.ini", "backup.ini", "old/a.ini", "#a"])
def test_no_backup(path: str) -> None:
    assert not is_backup(path)


def test_alike_folds_case_and_accents() -> None:
    assert alike("Fans.INI") == alike("fans.ini")
    assert alike("K\u00fchler") == alike("ku\u0308hler")
    assert composed("ku\u0308hler") == "k\u00fchler"
    assert alike("fan-s") != alike("fans")


@pytest.mark.parametrize(
    ("pattern", "path"),
    [
        ("*.ini", "a.ini"),
        ("?.ini", "a.ini"),
        ("**", "a"),
        ("**", "a/b/c"),
        ("**/*.ini", "a.ini"),
        ("**/*.ini", "a/b/c.ini"),
        ("a/**/b.ini", "a/b.ini"),
        ("a/**/b.ini", "a/x/y/b.ini"),
        ("a*c*.ini", "abcd.ini"),
        ("a**b", "axxb"),
        (".*", ".a"),
        ("../*.ini", "../a.ini"),
        ("[x].ini", "[x].ini"),
        ("a+b(1).ini", "a+b(1).ini"),
        ("\u00fc*", "u\u0308ber"),
    ],
)
def test_pattern_matches(pattern: str, path: str) -> None:
    assert matches(pattern, path)


@pytest.mark.parametrize(
    ("pattern", "path"),
    [
        ("*.ini", "a/b.ini"),
        ("*", ".a"),
        ("**/*.ini", ".a/b.ini"),
        ("**", "a/.b"),
        ("?", "ab"),
        ("[x].ini", "x.ini"),
        ("a/**/b.ini", "b.ini"),
        ("a.ini", "aXini"),
        ("*.ini", "a.ini\n"),
    ],
)
def test_pattern_does_not_match(pattern: str, path: str) -> None:
    assert not matches(pattern, path)


def test_many_stars_end() -> None:
    assert not matches("*a" * 60 + "b", "a" * 250)


def test_allowance_covers_folders_and_leads_to_them() -> None:
    allowance = Allowance(("../shared/pins/*.ini", "/opt/machine"))
    assert allowance.admits("../shared/pins/a.ini")
    assert allowance.admits("/opt/machine/b/c.ini")
    assert not allowance.admits("../shared/a.ini")
    assert not allowance.admits("/opt/other")
    assert allowance.leads_to("..")
    assert allowance.leads_to("../shared")
    assert allowance.leads_to("/opt/machine/b")
    assert not allowance.leads_to("../other")
    assert not Allowance()
    assert not Allowance(("",)).admits("../a")


@given(st.lists(st.text(st.sampled_from("abc/"), min_size=1, max_size=8).map(normalise).filter(bool)))
def test_folders_of_leads_to_every_file(paths: list[str]) -> None:
    paths = [path for path in paths if not path.startswith("/")]
    folders = folders_of(paths)
    for path in paths:
        folder, _, name = path.rpartition("/")
        assert name in folders[folder]
        while folder:
            above, _, name = folder.rpartition("/")
            assert f"{name}/" in folders[above]
            folder = above
