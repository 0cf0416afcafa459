"""Globs against the standard library.

Source: Python's ``glob`` (``root_dir``, ``recursive=True``), on the wild
cards that we share: ``*``, ``?``, ``**``.
"""

from __future__ import annotations

import glob
import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.syntax.document import Include, Span
from cfgaudit.tree.lookup import Lookup
from cfgaudit.working_tree import WorkingTree

FILES = (
    "main.ini", "a.ini", "b.ini", "ab.ini", "a.cfg", ".hidden.ini", "x~",
    "a/a.ini", "a/b.ini", "a/b/a.ini", "a/b/c/ab.ini", "b/a.ini", ".h/a.ini", "a/.b/a.ini",
)  # fmt: skip
NAMES = st.sampled_from(
    ["*", "?", "**", "a", "b", "*.ini", "a*", "?.ini", "a?.ini", "*b*", ".*", ".h", "a.ini"]
)
PATTERNS = st.lists(NAMES, min_size=1, max_size=4).map("/".join).filter(lambda one: "*" in one or "?" in one)


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("machine")
    for name in FILES:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).touch()
    return folder


@settings(max_examples=150, deadline=None)
@given(PATTERNS)
def test_globs_match_what_python_matches(root: Path, pattern: str) -> None:
    found = Lookup(WorkingTree(root)).find(
        "none.ini", Include(Span(0, 0), pattern, Span(0, 0), "%include PATH")
    )
    matched = glob.glob(pattern, root_dir=root, recursive=True)
    assert list(found.files) == sorted({path for path in matched if os.path.isfile(os.path.join(root, path))})
