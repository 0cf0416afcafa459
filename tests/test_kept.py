from __future__ import annotations

import os
from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest

from cfgaudit.kept import keep_in, kept
from cfgaudit.syntax.grammars import load_parser


@pytest.fixture
def folder(tmp_path: Path) -> Iterator[Path]:
    keep_in(tmp_path)
    yield tmp_path
    keep_in(None)


class Joined:
    """The tokens of a text, as the grammar of values names them."""

    def number(self, tokens: list[str]) -> list[str]:
        return [str(token) for token in tokens]

    def line(self, parts: list[list[str]]) -> list[str]:
        return parts[0]

    lines = line


def read() -> list[str]:
    tokens: list[str] = load_parser("value", callbacks=Joined())("420 mm")
    return tokens


def test_nothing_is_kept_unless_a_folder_is_named() -> None:
    made = count()
    assert [kept("any", ["text"], lambda: next(made)) for _ in range(3)] == [0, 1, 2]


def test_other_ingredients_are_made_anew(folder: Path) -> None:
    made = count()

    def get(name: str, *ingredients: str) -> int:
        return kept(name, ingredients, lambda: next(made))

    first = [get("any", "a", "b"), get("any", "ab"), get("any", "a", "c"), get("other", "a", "b")]
    assert first == [0, 1, 2, 3]
    assert [get("any", "a", "b"), get("any", "ab"), get("any", "a", "c"), get("other", "a", "b")] == first


def test_tables_are_kept_and_taken_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert read() == ["420 ", "mm"]
    (kept,) = folder.iterdir()
    before = kept.stat().st_mtime_ns, kept.read_bytes()
    monkeypatch.setattr("cfgaudit.syntax.grammars._tables", None)  # to build them anew would fail now
    assert read() == ["420 ", "mm"]
    assert (kept.stat().st_mtime_ns, kept.read_bytes()) == before


@pytest.mark.parametrize("broken", [b"", b"nonsense", b"\x80\x05", b"cno_such_module\nname\n."])
def test_broken_tables_are_made_anew(folder: Path, broken: bytes) -> None:
    read()
    (kept,) = folder.iterdir()
    whole = kept.read_bytes()
    for cut in (broken, whole[:-1], whole[: len(whole) // 2]):
        kept.write_bytes(cut)
        assert read() == ["420 ", "mm"]
        assert read() == ["420 ", "mm"]


def test_a_folder_that_is_gone_costs_nothing_but_time(tmp_path: Path) -> None:
    keep_in(tmp_path / "gone")
    try:
        assert read() == ["420 ", "mm"]
    finally:
        keep_in(None)


def test_nobody_sees_half_a_file(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[list[str]] = []
    replace = os.replace

    def watched(draft: Path, file: Path) -> None:
        seen.append([draft.read_bytes().hex(), str(file.exists())])
        replace(draft, file)

    monkeypatch.setattr(os, "replace", watched)
    kept("any", ["text"], lambda: "made")
    (file,) = folder.iterdir()
    assert seen == [[file.read_bytes().hex(), "False"]]
