"""From what the command line names to a source, a main file and a project."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from cfgaudit.cli.failure import UsageError
from cfgaudit.project import FILE, Project, allowed_outside, read_project
from cfgaudit.source import Overlay, Source
from cfgaudit.working_tree import WorkingTree

STANDARD_INPUT = "-"
Opener = Callable[[Path, tuple[str, ...]], Source]


@dataclass(frozen=True, slots=True)
class Opened:
    """What a command works on. ``main`` is relative to the source's root, which is the main file's folder."""

    source: Source
    main: str
    project: Project


def open_configuration(
    main: str | None, *, rev: str | None = None, staged: bool = False, path: str | None = None
) -> Opened:
    """Find the main file and open what holds it.

    ``main`` is a file, a folder with one main file, ``-`` (standard input, named by ``path``), or None: what
    ``cfgaudit.toml`` says, else the one main file of the current folder.
    """
    if rev is not None and staged:
        raise UsageError("--rev and --staged exclude each other: give one of them")
    opener = _opener(rev, staged)
    if main == STANDARD_INPUT:
        return _open_standard_input(opener, path)
    if path is not None:
        raise UsageError("--path names what comes from standard input: give - as the main file with it")
    if main is None or Path(main).is_dir():
        return _open_folder(opener, Path(main or "."))
    return _open_file(opener, Path(main))


def _opener(rev: str | None, staged: bool) -> Opener:
    if rev is None and not staged:
        return WorkingTree
    from cfgaudit.history.git import GitCommit, GitIndex

    return GitIndex if rev is None else lambda root, allowed: GitCommit(root, rev, allowed)


def _open_folder(opener: Opener, folder: Path) -> Opened:
    from cfgaudit.tree.main_file import find_main

    home = _project_folder(folder)
    if (named := read_project(opener(home, ())).main) is not None:
        return _open_file(opener, home / named)
    source = opener(folder, ())
    return _open_file(opener, folder / find_main(source, read_project(source).traits))


def _open_file(opener: Opener, file: Path) -> Opened:
    root = file.parent
    home = _project_folder(root)
    allowed = allowed_outside(opener(home, ()))
    project = read_project(opener(home, allowed))
    return Opened(opener(root, tuple(_from(root, home, path) for path in allowed)), file.name, project)


def _open_standard_input(opener: Opener, path: str | None) -> Opened:
    if path is None:
        raise UsageError("standard input has no name: say which file it stands for with --path FILE")
    opened = _open_file(opener, Path(path))
    data = sys.stdin.buffer.read()
    return Opened(Overlay(opened.source, {opened.main: data}), opened.main, opened.project)


def _project_folder(folder: Path) -> Path:
    """Where ``cfgaudit.toml`` is: this folder, or the nearest one above it in the same git work tree."""
    here = folder.resolve()
    above: list[Path] = []
    for one in (here, *here.parents):
        above.append(one)
        if (one / ".git").exists():
            return next((each for each in above if (each / FILE).is_file()), folder)
    return folder


def _from(root: Path, home: Path, path: str) -> str:
    """A path relative to ``home`` as one relative to ``root``."""
    return Path(os.path.relpath(home.resolve() / path, root.resolve())).as_posix()
