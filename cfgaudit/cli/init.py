"""``init``: a first ``cfgaudit.toml``, or a git hook."""

from __future__ import annotations

from typing import Annotated

import typer

from cfgaudit.cli.new_file import write_new
from cfgaudit.cli.opening import open_configuration
from cfgaudit.cli.options import Main
from cfgaudit.cli.screen import show, width
from cfgaudit.report.lines import counted, one_line, wrapped

Hook = Annotated[
    bool,
    typer.Option(
        "--hook",
        help="Write a git hook instead, and nothing else: before every commit it checks what is staged.",
    ),
]


def run(main: Main = None, hook: Hook = False) -> None:
    """Write cfgaudit.toml beside the main file: what was detected, and the names that were not understood.

    With --hook, write a git hook instead. An existing file is never touched.
    """
    if hook:
        _install_hook(main)
    else:
        _write_project(main)


def _install_hook(main: str | None) -> None:
    from cfgaudit.cli.hook import install_hook

    told = f"{install_hook(main)} is written: git commit now checks what is staged, and refuses errors."
    show(wrapped(one_line(told), width(), 0))


def _write_project(main: str | None) -> None:
    from cfgaudit.project import FILE
    from cfgaudit.report.project_file import project_text
    from cfgaudit.tree.resolve import TreeOptions, resolve
    from cfgaudit.vocabulary.read import read_roles
    from cfgaudit.vocabulary.words import load_words

    opened = open_configuration(main)
    tree = resolve(opened.source, opened.main, TreeOptions(traits=opened.project.traits, strangers=False))
    reading = read_roles(tree, load_words(opened.project.overrides))
    target = opened.folder / FILE
    write_new(target, project_text(reading).encode(), instead="edit it, or move it away first")
    unknown = sum(1 for _ in reading.unknown())
    told = f"{target} is written. "
    if unknown:
        told += f"It lists, commented out, {counted(unknown, 'setting')} of unknown meaning: "
        told += "give a role to those that matter."
    show(wrapped(one_line(told), width(), 0))
