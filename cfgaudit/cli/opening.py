"""From what the command line names to a source, a main file and a project."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import NamedTuple

from cfgaudit.cli.failure import UsageError
from cfgaudit.paths import leaves_root
from cfgaudit.project import FILE, Project, allowed_outside, read_project
from cfgaudit.source import MissingFile, Source, SourceError, check_text
from cfgaudit.toml_file import ProjectError
from cfgaudit.working_tree import WorkingTree

STANDARD_INPUT = "-"
AS_ARGUMENT = "cfgaudit check FILE"
AS_OPTION = "--main FILE"
"""How a command is told the main file."""
Opener = Callable[[Path, tuple[str, ...]], Source]
"""From a folder, and what outside it may be read, to what holds the files."""


class Opened(NamedTuple):
    """What a command works on. ``main`` is relative to the source's root, which is the main file's folder."""

    source: Source
    main: str
    project: Project
    folder: Path
    """The source's root, as the user may call it."""
    home: Path
    """Where ``cfgaudit.toml`` is looked for."""
    allowed: tuple[str, ...]
    """What it allows to be read outside, relative to the root."""


def open_configuration(
    main: str | None, *, rev: str | None = None, staged: bool = False, naming: str = AS_ARGUMENT
) -> Opened:
    """Find the main file and open what holds it.

    ``main`` is a file, a folder with one main file, or None: what ``cfgaudit.toml`` says, else the one main
    file of the current folder. ``naming`` is how the command that runs is told the file. Raises UsageError,
    SourceError or ProjectError.
    """
    opener = opener_for(rev, staged)
    if main == STANDARD_INPUT:
        raise UsageError("only check reads standard input: name the main file, or its folder")
    if main is not None and not main.strip():
        raise UsageError("the main file's name is empty: name a file or a folder, or leave it out")
    if main is None or os.path.isdir(main):
        return _open_folder(opener, main, naming)
    return open_file(opener, Path(main))


def opener_for(rev: str | None, staged: bool) -> Opener:
    """What opens folders as they are on disk, in a commit, or in the git index."""
    if rev is not None and staged:
        raise UsageError("--rev and --staged exclude each other: give one of them")
    if rev is None and not staged:
        return WorkingTree
    open_real = cache(_open_in_git)
    return lambda folder, allowed: open_real(_entered(folder), allowed, rev)


def _open_in_git(folder: Path, allowed: tuple[str, ...], rev: str | None) -> Source:
    from cfgaudit.history.git.sources import GitCommit, GitIndex

    return GitIndex(folder, allowed) if rev is None else GitCommit(folder, rev, allowed)


def _entered(folder: Path) -> Path:
    if not os.path.isdir(folder):
        raise UsageError(f"{folder} is no folder: git is asked from the folder of the main file")
    return Path(os.path.realpath(folder))


def _open_folder(opener: Opener, given: str | None, naming: str) -> Opened:
    """The main file of a folder; one that ``cfgaudit.toml`` names, unless another folder is asked for."""
    folder = Path(given or ".")
    home = project_folder(opener, folder)
    project, allowed = read_project_in(opener, home)
    if project.main is not None and (given is None or _lies_in(home / project.main, folder)):
        return open_file(opener, home / project.main, named=True)
    source = opener(folder, seen_from(folder, home, allowed))
    return open_file(opener, folder / main_of(source, folder, project, naming))


def main_of(source: Source, folder: Path, project: Project, naming: str = AS_ARGUMENT) -> str:
    """The main file of a folder, by its includes. Raises UsageError where there is none, or several."""
    from cfgaudit.tree.main_file import find_main

    try:
        return find_main(source, project.traits)
    except SourceError as error:
        where = os.getcwd() if folder == Path() else folder
        how = f'name the main file, `{naming}`, or write `main = "FILE"` into {FILE}'
        raise UsageError(f"{where}: {error}: {how}") from error


def open_file(opener: Opener, file: Path, *, named: bool = False) -> Opened:
    """A main file and what its folder holds. ``named`` says that ``cfgaudit.toml`` asks for it."""
    opened = open_around(opener, file)
    try:
        check_text(opened.main, opened.source.read(opened.main))
    except SourceError as error:
        raise UsageError(_unusable(opened, file, error) + NAMED * named) from error
    return opened


NAMED = f" ({FILE} names it as the main file)"


def open_around(opener: Opener, file: Path) -> Opened:
    """A main file that may not be there, and what its folder holds."""
    root = file.parent
    home = project_folder(opener, root)
    project, allowed = read_project_in(opener, home)
    seen = seen_from(root, home, allowed)
    return Opened(opener(root, seen), file.name, project, root, home, seen)


def _unusable(opened: Opened, file: Path, error: SourceError) -> str:
    """The error with the file as the user named it."""
    label = opened.source.label
    if isinstance(error, MissingFile) and label == "git index":
        return f"{file} is not in the git index: git add it first, or leave out --staged"
    if isinstance(error, MissingFile) and label != "working tree":
        return f"{file} is not in {label}: name a revision that has it"
    said = str(error)
    return _as_called(opened.folder, said) if said.startswith(opened.main) else said


def _as_called(folder: Path, said: str) -> str:
    """What begins with a path that is relative to a folder, with the folder before it."""
    return said if folder == Path() else os.path.join(folder, said)


def read_project_in(opener: Opener, home: Path) -> tuple[Project, tuple[str, ...]]:
    """What ``cfgaudit.toml`` says, and what it allows to be read outside. Raises ProjectError."""
    try:
        allowed = allowed_outside(opener(home, ()))
        return read_project(opener(home, allowed)), allowed
    except ProjectError as error:
        raise ProjectError(_as_called(home, str(error))) from error


def project_folder(opener: Opener, folder: Path) -> Path:
    """Where ``cfgaudit.toml`` is: this folder, or the nearest one above it in the same git work tree."""
    here = os.path.realpath(folder)
    above = [here]
    while not os.path.lexists(os.path.join(above[-1], ".git")):
        above.append(os.path.dirname(above[-1]))
        if above[-1] == above[-2]:
            return folder
    source = opener(Path(above[-1]), ())
    for one in above:
        if source.is_file(os.path.relpath(os.path.join(one, FILE), above[-1])):
            return folder if one == here else Path(os.path.relpath(one))
    return folder


def _lies_in(file: Path, folder: Path) -> bool:
    return not leaves_root(from_folder(folder, file))


def from_folder(folder: Path, file: Path) -> str:
    """A file's path as seen from a folder, with ``/``; links on the way to both are followed."""
    real = os.path.join(os.path.realpath(file.parent), file.name)
    return Path(os.path.relpath(real, os.path.realpath(folder))).as_posix()


def seen_from(root: Path, home: Path, paths: tuple[str, ...]) -> tuple[str, ...]:
    """Paths relative to ``home`` as ones relative to ``root``."""
    base, start = os.path.realpath(home), os.path.realpath(root)
    return tuple(Path(os.path.relpath(os.path.join(base, path), start)).as_posix() for path in paths)
