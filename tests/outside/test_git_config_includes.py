"""Include trees against git.

Source: ``git config --file MAIN --includes --list --show-origin -z`` (git-config(1), "Includes"), on what
we share: ``[include]`` with ``path``, relative to the including file, read where the directive stands.
"""

from __future__ import annotations

import os
import posixpath
import subprocess
import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.tree.names import fold_name
from cfgaudit.tree.resolve import resolve
from cfgaudit.working_tree import WorkingTree

FILES = ("main.ini", "fans.ini", "p/heat.ini", "p/q/pins.ini", "p/lamp.ini", "z/last.ini")
"""A file includes only later ones: git gives up at a ring of files."""


def directive(index: int) -> st.SearchStrategy[str]:
    """One include of a later file, or of one that is missing, which git passes over."""
    here = posixpath.dirname(FILES[index])
    later = [posixpath.relpath(path, here or ".") for path in FILES[index + 1 :]]
    targets = [*later, *(f"./{path}" for path in later), "none.ini"]
    quoted = st.sampled_from(["{}", '"{}"'])
    return st.builds(
        lambda path, form: f"[include]\npath = {form.format(path)}", st.sampled_from(targets), quoted
    )


SECTIONS = st.builds(
    lambda header, entries: "\n".join([header, *entries]),
    st.sampled_from(["[fan]", "[bed]", '[fan "left"]', '[fan "right"]', "[Bed]"]),
    st.lists(
        st.sampled_from(["speed = 1", "speed = 2", "Speed = 3", "pin = PA1", "note = a b", "pin = PB2"]),
        max_size=3,
    ),
)
TREES = st.tuples(
    *(
        st.lists(st.one_of(SECTIONS, directive(index)), max_size=5).map("\n".join)
        for index in range(len(FILES))
    )
)


def as_git_reads(root: Path) -> dict[str, tuple[str, str]]:
    """Folded ``section.key`` to the last value and the file that it comes from."""
    words = ["git", "config", "--file", "main.ini", "--includes", "--list", "--show-origin", "-z"]
    environment = {**os.environ, "GIT_CONFIG_NOSYSTEM": "1", "GIT_CONFIG_GLOBAL": os.devnull}
    output = subprocess.run(words, cwd=root, check=True, capture_output=True, env=environment).stdout.decode()
    pieces = output.split("\0")
    found: dict[str, tuple[str, str]] = {}
    for origin, entry in zip(pieces[::2], pieces[1::2], strict=False):
        name, _, value = entry.partition("\n")
        if not name.startswith("include."):
            found[fold_name(name)] = (value, posixpath.normpath(origin.removeprefix("file:")))
    return found


def as_we_read(root: Path) -> dict[str, tuple[str, str]]:
    settings_ = resolve(WorkingTree(root), "main.ini").settings()
    return {fold_name(f"{one.section}.{one.name}"): (one.value, one.place.file) for one in settings_}


@settings(max_examples=60, deadline=None)
@given(TREES)
def test_effective_values_and_origins(texts: tuple[str, ...]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        for path, text in zip(FILES, texts, strict=True):
            (root / path).parent.mkdir(parents=True, exist_ok=True)
            (root / path).write_text(text + "\n")
        assert as_we_read(root) == as_git_reads(root)
