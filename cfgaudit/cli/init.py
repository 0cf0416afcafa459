"""``init``: a first ``cfgaudit.toml``."""

from __future__ import annotations

from pathlib import Path

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import open_configuration
from cfgaudit.cli.options import Main
from cfgaudit.cli.screen import show, width
from cfgaudit.report.lines import visible, wrapped


def run(main: Main = None) -> None:
    """Write cfgaudit.toml beside the main file: what was detected, and the names that were not understood.

    An existing file is never touched.
    """
    from cfgaudit.project import FILE
    from cfgaudit.report.project_file import project_text
    from cfgaudit.tree.resolve import TreeOptions, resolve
    from cfgaudit.vocabulary.read import read_roles
    from cfgaudit.vocabulary.words import load_words

    opened = open_configuration(main)
    target = _folder(main) / FILE
    if target.exists():
        raise UsageError(f"{target} exists already and is left as it is: edit it, or move it away first")
    tree = resolve(opened.source, opened.main, TreeOptions(strangers=False))
    reading = read_roles(tree, load_words())
    _write_new(target, project_text(reading))
    unknown = sum(1 for _ in reading.unknown())
    told = f"{visible(str(target))} is written. "
    told += f"{unknown} settings that were not understood stand in it, commented out." if unknown else ""
    show(wrapped(told, width(), ""))


def _folder(main: str | None) -> Path:
    path = Path(main or ".")
    return path if path.is_dir() else path.parent


def _write_new(target: Path, text: str) -> None:
    """Write a file that must not exist yet, whole or not at all."""
    partial = target.with_name(f".{target.name}.partial")
    try:
        partial.write_text(text, encoding="utf-8")
        try:
            target.hardlink_to(partial)  # fails where the name is taken meanwhile; a rename would overwrite
        finally:
            partial.unlink()
    except FileExistsError as error:
        raise UsageError(f"{target} exists already and is left as it is") from error
    except OSError as error:
        raise UsageError(f"{target} cannot be written ({error.strerror}): check the folder") from error
