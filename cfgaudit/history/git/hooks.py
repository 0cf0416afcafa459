"""Where the hooks of a repository stand."""

from __future__ import annotations

import os
from pathlib import Path

from cfgaudit.history.git.repository import Repository


def hooks_folder(repository: Repository) -> Path:
    """The folder of the repository's own hooks, which all its work trees share; it may not exist yet."""
    told = repository.run("rev-parse", "--git-common-dir").removesuffix(b"\n")
    return Path(os.path.normpath(repository.folder / os.fsdecode(told))) / "hooks"


def hooks_elsewhere(repository: Repository) -> str | None:
    """The folder that ``core.hooksPath`` names in a file of git's configuration, as written there; else None.

    What our own command line says of it does not count.
    """
    listed = repository.run("config", "--show-scope", "--null", "--get-all", "core.hooksPath")
    fields = os.fsdecode(listed).split("\0")
    stated = [value for scope, value in zip(fields[::2], fields[1::2], strict=False) if scope != "command"]
    return stated[-1] if stated else None
