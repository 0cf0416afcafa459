"""``init``: a first ``cfgaudit.toml``."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import open_configuration
from cfgaudit.cli.options import Main
from cfgaudit.cli.screen import show, width
from cfgaudit.report.lines import counted, one_line, wrapped


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
    tree = resolve(opened.source, opened.main, TreeOptions(traits=opened.project.traits, strangers=False))
    reading = read_roles(tree, load_words(opened.project.overrides))
    target = opened.folder / FILE
    _write_new(target, project_text(reading))
    unknown = sum(1 for _ in reading.unknown())
    told = f"{target} is written. "
    if unknown:
        told += f"It lists, commented out, {counted(unknown, 'setting')} of unknown meaning: "
        told += "give a role to those that matter."
    show(wrapped(one_line(told), width(), 0))


def _write_new(target: Path, text: str) -> None:
    """Write a file that must not exist yet; what cannot be written whole is removed again."""
    try:
        file = open(target, "x", encoding="utf-8", newline="\n")  # noqa: SIM115 - removed again if writing fails
    except FileExistsError as error:
        raise UsageError(
            f"{target} exists already and is left as it is: edit it, or move it away first"
        ) from error
    except OSError as error:
        raise UsageError(f"{target} cannot be written ({error.strerror}): {MEND}") from error
    try:
        with file:
            file.write(text)
    except OSError as error:
        with suppress(OSError):
            target.unlink()
        raise UsageError(f"{target} cannot be written ({error.strerror}): {MEND}") from error


MEND = "check the folder's permissions and the space on its disk"
