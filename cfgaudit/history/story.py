"""A sample's history: the steps written in ``history.toml``, made into a real git repository.

Names and dates are fixed, so the commits' ids are the same on every machine; no hook, filter or setting of
the user has a say.
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from cfgaudit.evidence.records.record import FOLDER
from cfgaudit.history.git.repository import ENVIRONMENT, SWITCHED_OFF
from cfgaudit.history.states.mark_message import Message, write_message
from cfgaudit.history.states.marks import PREFIX
from cfgaudit.source import SourceError

if TYPE_CHECKING:
    from git.cmd import Git

SUFFIX = ".ini"
MEASURED = f"{FOLDER}/*.toml"
"""What of a step's folder is copied besides the machine's files."""
INSTALLATION = ("GIT_EXEC_PATH", "GIT_PYTHON_")
"""How the environment variables begin that only say where git itself is."""
PLAIN = (
    "core.autocrlf=false",
    "core.attributesFile=/dev/null",
    "core.fileMode=false",
    "commit.gpgSign=false",
)


class StepMark(NamedTuple):
    """The author's word that the step's commit is known-good."""

    message: Message
    date: datetime


@dataclass(frozen=True, slots=True)
class Step:
    """One step: what changes in the folder, and the commit that it becomes unless it stays uncommitted."""

    message: str
    date: datetime
    author: str
    email: str
    files: tuple[str, ...] = ()
    """What is copied over, in this order: folders of the sample, or single files in them, ``FOLDER/PATH``."""
    remove: tuple[str, ...] = ()
    move: tuple[tuple[str, str], ...] = ()
    mark: StepMark | None = None
    committed: bool = True


@dataclass(frozen=True, slots=True)
class Story:
    """All steps of one sample, and its main file."""

    sample: Path
    main: str
    branch: str
    steps: tuple[Step, ...]


def load_story(sample: Path) -> Story:
    """The story that ``history.toml`` in a sample's folder tells."""
    told = tomllib.loads((sample / "history.toml").read_text(encoding="utf-8"))
    return Story(sample, told["main"], told["branch"], tuple(_step(table) for table in told["step"]))


def _step(table: Mapping[str, Any]) -> Step:
    moves = tuple((old, new) for old, new in table.get("move", ()))
    mark = _mark(table["mark"]) if "mark" in table else None
    lists = {key: tuple(table.get(key, ())) for key in ("files", "remove")}
    return Step(**{**table, **lists, "move": moves, "mark": mark})


def _mark(table: Mapping[str, Any]) -> StepMark:
    measured = tuple((name, value) for name, value in table.get("measured", ()))
    return StepMark(Message(table["note"], measured), table["date"])


def binds(variable: str) -> bool:
    """Whether an environment variable may make git work on another repository, or in another way.

    A hook is run with such ones; ``git rev-parse --local-env-vars`` names those that bind to a repository.
    """
    return variable.startswith("GIT_") and not variable.startswith(INSTALLATION)


def write_story(story: Story, folder: Path) -> None:
    """Make the repository in ``folder``, which must be empty; the last step may stay uncommitted.

    No environment variable may be set that `binds` git. Raises SourceError if git is missing or refuses.
    """
    git = _plain_git(folder)
    _run(git, "init", "--quiet", "--object-format=sha1", f"--initial-branch={story.branch}", "--template=")
    for step in story.steps:
        _change(story, step, folder)
        if step.committed:
            _commit(git, step)


def _change(story: Story, step: Step, folder: Path) -> None:
    for path in step.remove:
        (folder / path).unlink()
    for old, new in step.move:
        (folder / new).parent.mkdir(parents=True, exist_ok=True)
        (folder / old).rename(folder / new)
    for name in step.files:
        _copy(story.sample, name, folder)


def _copy(sample: Path, name: str, folder: Path) -> None:
    """``FOLDER``: all of the machine's files in it and what was measured; ``FOLDER/PATH``: that one file."""
    origin, _, one = name.partition("/")
    held = sample / origin
    paths = [sample / name] if one else [*held.rglob(f"*{SUFFIX}"), *held.glob(MEASURED)]
    for path in sorted(paths):
        target = folder / path.relative_to(held)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(path.read_bytes())


def _commit(git: Git, step: Step) -> None:
    _run(git, "add", "--all", "--force", ".")
    with git.custom_environment(**_signed(step.author, step.email, step.date)):
        _run(
            git,
            "commit",
            "--quiet",
            "--no-verify",
            "--cleanup=verbatim",
            f"--message={step.message.strip()}\n",
        )
    if step.mark is not None:
        message, date = step.mark
        with git.custom_environment(**_signed(step.author, step.email, date)):
            text, name = write_message(message), f"{PREFIX}{date.date().isoformat()}"
            _run(git, "tag", "--annotate", "--cleanup=verbatim", f"--message={text}", name)


def _signed(name: str, email: str, date: datetime) -> Mapping[str, str]:
    written = date.isoformat()
    who = {"GIT_AUTHOR_NAME": name, "GIT_AUTHOR_EMAIL": email, "GIT_AUTHOR_DATE": written}
    return who | {key.replace("AUTHOR", "COMMITTER"): value for key, value in who.items()}


def _plain_git(folder: Path) -> Git:
    """GitPython's runner with nothing of the user's or the system's configuration."""
    try:
        from git.cmd import Git
    except ImportError as error:
        raise SourceError("git is not installed: install it, then run this again") from error
    git = Git(folder)
    git.set_persistent_git_options(c=[*SWITCHED_OFF, *PLAIN])
    git.update_environment(**ENVIRONMENT, GIT_CONFIG_NOSYSTEM="1", GIT_CONFIG_GLOBAL=os.devnull)
    return git


def _run(git: Git, command: str, *words: str) -> None:
    from git.exc import GitError

    try:
        getattr(git, command)(*words)
    except GitError as error:
        told = " ".join(_lines(str(getattr(error, "stderr", "")) or str(error)))
        raise SourceError(f"git {command} failed: {told}") from error


def _lines(text: str) -> Iterable[str]:
    return (line.strip() for line in text.splitlines() if line.strip())
