"""The program, run in this process or in one of its own."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any, NamedTuple

import cfgaudit

PACKAGE = Path(cfgaudit.__file__).parent
PROGRAM = (sys.executable, "-m", "cfgaudit")


SIGN_OF_LIFE = re.compile(r"^cfgaudit: [a-z]+ing .* …\n", re.MULTILINE)
"""What a slow or busy computer is told after a second."""


class Ran(NamedTuple):
    """What a run came to."""

    status: int
    out: str
    err: str


def quiet(err: str) -> str:
    """Standard error without what depends on how long it took."""
    return SIGN_OF_LIFE.sub("", err)


def ended(status: int, out: bytes, err: bytes) -> Ran:
    """A run's end."""
    return Ran(status, out.decode(), quiet(err.decode()))


def environment(more: Mapping[str, str] | None = None) -> dict[str, str]:
    """This process's environment without what changes output, and with the package where it is."""
    kept = {
        key: value for key, value in os.environ.items() if key not in ("COLUMNS", "NO_COLOR", "FORCE_COLOR")
    }
    return {**kept, "PYTHONPATH": str(PACKAGE.parent), **(more or {})}


def process(*arguments: str | bytes, env: Mapping[str, str] | None = None, **options: Any) -> Ran:
    """Run the program in a process of its own."""
    options = {"stdin": subprocess.DEVNULL, **options} if "input" not in options else options
    done = subprocess.run(
        [*PROGRAM, *arguments], env=environment(env), capture_output=True, check=False, **options
    )
    return ended(done.returncode, done.stdout, done.stderr)


def contents(folder: Path) -> dict[str, bytes | None]:
    """All below a folder: files with their bytes, folders with None."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else None
        for path in sorted(folder.rglob("*"))
    }


def write(folder: Path, files: Mapping[str, str]) -> Path:
    """Write files below a folder."""
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="")
    return folder
