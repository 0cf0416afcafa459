"""One file from standard input: what an editor has not saved yet."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import (
    Opened,
    Opener,
    from_folder,
    main_of,
    open_around,
    open_file,
    opener_for,
    project_folder,
    read_project_in,
)
from cfgaudit.paths import leaves_root
from cfgaudit.source import SIZE_LIMIT, Overlay, SourceError, check_size


def open_standard_input(path: str | None, *, rev: str | None = None, staged: bool = False) -> Opened:
    """What standard input holds, in place of the file ``path``.

    Where a main file includes that file, all of the configuration is opened, for a part of one alone would
    refer to what is not there; else the file is a main file itself. It need not exist.
    """
    if not path:
        raise UsageError("standard input has no name: say which file it stands for with --path FILE")
    if os.path.isdir(path):
        raise UsageError(f"{path} is a folder: name with --path the file that standard input stands for")
    opener = opener_for(rev, staged)
    data = _read()
    file = Path(path)
    around = open_around(opener, file)
    for opened in _wholes(opener, file, data):
        return opened
    return _overlaid(around, around.main, data)


def _read() -> bytes:
    if sys.stdin is None:
        raise UsageError("standard input is closed: send the file's text to it")
    data = sys.stdin.buffer.read(SIZE_LIMIT + 1)
    check_size("standard input", len(data))
    return data


def _overlaid(opened: Opened, path: str, data: bytes) -> Opened:
    return opened._replace(source=Overlay(opened.source, {path: data}))


def _wholes(opener: Opener, file: Path, data: bytes) -> Iterator[Opened]:
    """The configurations that have the file in them, the nearest first."""
    from cfgaudit.tree.resolve import TreeOptions, resolve

    for main in _mains(opener, file, data):
        with suppress(UsageError, SourceError):
            opened = open_file(opener, main)
            inside = from_folder(opened.folder, file)
            if not leaves_root(inside):
                whole = _overlaid(opened, inside, data)
                options = TreeOptions(traits=opened.project.traits, strangers=False)
                if inside in resolve(whole.source, whole.main, options).documents:
                    yield whole


def _mains(opener: Opener, file: Path, data: bytes) -> Iterator[Path]:
    """What ``cfgaudit.toml`` names, else the main files of the folders from the file's to the current one."""
    home = project_folder(opener, file.parent)
    project, _ = read_project_in(opener, home)
    if project.main is not None:
        yield home / project.main
        return
    for folder in _folders(file):
        source = Overlay(opener(folder, ()), {from_folder(folder, file): data})
        with suppress(UsageError):
            yield folder / main_of(source, folder, project)


def _folders(file: Path) -> Iterator[Path]:
    """The file's folder and those above it, as far as the current one; its own alone if that is elsewhere."""
    folder = file.parent
    yield folder
    here, top = os.path.realpath(folder), os.path.realpath(".")
    while here.startswith(os.path.join(top, "")) and here != top:
        here = os.path.dirname(here)
        yield Path(os.path.relpath(here))
