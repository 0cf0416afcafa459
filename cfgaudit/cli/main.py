"""The command line. A command's module is imported only when that command is asked for."""

from __future__ import annotations

import os
import sys
from importlib import import_module

from cfgaudit import __version__

COMMANDS = ("check", "rules", "explain", "tree", "roles", "facts", "pins", "where", "init", "demo")
PROGRAM = "cfgaudit"
HELP = """Check the INI-style configuration of a 3D printer's firmware, in whatever words it is written.

cfgaudit reads files and runs nothing. It cannot see wiring: a clean check is no proof that a machine is safe.
Keep a thermal cut-out that works without the firmware, keep hands clear of a machine that may move, and leave
mains wiring to someone licensed for it under your local code."""


def main() -> None:
    """Run the command that the arguments name; exit with 0, 1 (findings) or 2 (nothing could be said)."""
    arguments = sys.argv[1:]
    if arguments == ["--version"]:
        print(f"{PROGRAM} {__version__}")
        return
    from cfgaudit.cli.failure import told

    with told():
        _app(arguments)(prog_name=PROGRAM)


def _app(arguments: list[str]):  # type: ignore[no-untyped-def]  # typer is imported late
    import typer

    from cfgaudit.cli.plain import PlainCommand, PlainGroup

    app = typer.Typer(
        cls=PlainGroup,
        no_args_is_help=True,
        help=HELP,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )

    @app.callback()
    def options(
        version: bool = typer.Option(False, "--version", help="Print the version and stop.", is_eager=True),
    ) -> None:
        if version:
            print(f"{PROGRAM} {__version__}")
            raise typer.Exit

    for name in _wanted(arguments):
        app.command(name, cls=PlainCommand)(import_module(f"cfgaudit.cli.{name}").run)
    return app


def _wanted(arguments: list[str]) -> tuple[str, ...]:
    """The one command that is asked for; all of them for help, completion and misspellings."""
    first = next((argument for argument in arguments if not argument.startswith("-")), "")
    if first in COMMANDS and f"_{PROGRAM.upper()}_COMPLETE" not in os.environ:
        return (first,)
    return COMMANDS
