"""Real git, in repositories made for a test, with nothing of the user's configuration."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Mapping
from pathlib import Path

IDENTITY = {
    "GIT_AUTHOR_NAME": "Odile",
    "GIT_AUTHOR_EMAIL": "odile@example.org",
    "GIT_COMMITTER_NAME": "Odile",
    "GIT_COMMITTER_EMAIL": "odile@example.org",
}


def git(folder: Path, *words: str, data: str | bytes = b"", **more: str) -> str:
    """What git says, without the line break at its end; ``more`` are variables of its environment."""
    done = subprocess.run(
        ["git", *words],
        cwd=folder,
        check=True,
        capture_output=True,
        input=data.encode() if isinstance(data, str) else data,
        env={**os.environ, **IDENTITY, **more},
    )
    return os.fsdecode(done.stdout).removesuffix("\n")


def write(folder: Path, files: Mapping[str, str]) -> Path:
    """Write files below a folder, and those folders that are missing."""
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8", newline="")
    return folder


def commit(folder: Path, message: str, files: Mapping[str, str], **more: str) -> str:
    """Write files, commit all there is, and say the commit's id."""
    write(folder, files)
    git(folder, "add", "--all", "--force", ".")
    git(folder, "commit", "--quiet", "--allow-empty", "--no-verify", f"--message={message}", **more)
    return git(folder, "rev-parse", "HEAD")
