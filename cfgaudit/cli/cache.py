"""The folder in which the program keeps what it would else make anew on every run."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from cfgaudit.kept import keep_in


def use_cache() -> None:
    """Keep such things in the user's cache folder, if there is one that nobody else can write to."""
    folder = _folder()
    if folder is not None and _make_private(folder):
        keep_in(folder)


def _folder() -> Path | None:
    """``cfgaudit`` in the user's cache folder, as the XDG Base Directory Specification places it."""
    stated = os.environ.get("LOCALAPPDATA" if os.name == "nt" else "XDG_CACHE_HOME", "")
    if os.path.isabs(stated):
        return Path(stated, "cfgaudit")
    try:
        return Path.home() / ".cache" / "cfgaudit"
    except RuntimeError:  # nobody's home
        return None


def _make_private(folder: Path) -> bool:
    """Whether the folder is there, this user's, and closed to the writing of others."""
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        found = folder.lstat()
    except OSError:
        return False
    if os.name == "nt":
        return stat.S_ISDIR(found.st_mode)
    return stat.S_ISDIR(found.st_mode) and found.st_uid == os.geteuid() and not found.st_mode & 0o022
