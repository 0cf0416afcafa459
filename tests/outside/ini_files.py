"""The INI-like files of the machine that runs the tests: text that nobody wrote for this parser."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOTS = ("/etc", "/usr", sys.prefix, sys.base_prefix)
ENDINGS = (".ini", ".cfg", ".conf", ".service", ".desktop", ".timer", ".socket", ".toml.in", ".inf")
LARGEST = 100_000
"""Larger files are left out, in bytes: they are few, and they tell no more than the others."""


@cache
def ini_texts() -> tuple[tuple[str, str], ...]:
    """Path and text of every such file that is UTF-8, each content once."""
    found: dict[str, str] = {}
    for path in _paths():
        try:
            text = path.read_bytes().decode("utf-8")
        except (OSError, UnicodeDecodeError):
            continue
        found.setdefault(text, str(path))
    return tuple((path, text) for text, path in found.items())


def _paths() -> Iterator[Path]:
    for root in dict.fromkeys(os.path.realpath(root) for root in ROOTS):
        for folder, folders, files in os.walk(root):
            folders[:] = sorted(name for name in folders if name not in ("proc", "sys", "__pycache__"))
            for name in sorted(files):
                path = Path(folder, name)
                if name.endswith(ENDINGS) and path.is_file() and path.stat().st_size <= LARGEST:
                    yield path
