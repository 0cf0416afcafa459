"""Files that are written only where nothing is yet."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from cfgaudit.cli.failure import UsageError

MEND = "check the folder's permissions and the space on its disk"
PLAIN, EXECUTABLE = 0o666, 0o777
"""Before the user's mask."""


def write_new(target: Path, data: bytes, *, instead: str, mode: int = PLAIN) -> None:
    """Write a file that must not exist yet, a dangling link included; what cannot be whole is removed again.

    ``instead`` says what to do where it exists. Raises UsageError.
    """
    try:
        handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
    except FileExistsError as error:
        raise UsageError(f"{target} exists already and is left as it is: {instead}") from error
    except OSError as error:
        raise _unwritable(target, error) from error
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
    except OSError as error:
        with suppress(OSError):
            target.unlink()
        raise _unwritable(target, error) from error


def make_folder(folder: Path) -> None:
    """Make a folder unless it is there. Raises UsageError if something else is."""
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise _unwritable(folder, error) from error


def _unwritable(target: Path, error: OSError) -> UsageError:
    return UsageError(f"{target} cannot be written ({error.strerror}): {MEND}")
