"""The command line. A command's module is imported only when that command is asked for."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping, Sequence
from importlib import import_module
from typing import TYPE_CHECKING

from cfgaudit import __version__

if TYPE_CHECKING:
    import typer

PROGRAM = "cfgaudit"
COMMANDS: Mapping[str, str] = {
    "check": "Is it coherent, and safe to restart with?",
    "rules": "List the rules.",
    "explain": "Why a rule matters, what to do, and text that shows it.",
    "tree": "Which files make the configuration, and which values count.",
    "roles": "What the words were understood to mean.",
    "facts": "What the settings come to in numbers.",
    "pins": "Which pin is used by what.",
    "where": "Every place that has or uses a name.",
    "mark": "After a good print: declare a commit known-good.",
    "marks": "Every commit that was declared known-good.",
    "changes": "What changed since the last good print, and what does it come to?",
    "history": "Every value that a setting or a fact had.",
    "suspects": "After a bad print: which change is to blame?",
    "restore": "Put values back to what they were at a mark.",
    "gate": "What to run before a restart: does anything new speak against it?",
    "measure": "Keep a measurement, and say what it means.",
    "evidence": "What was measured, and whether it still holds.",
    "hours": "How long parts have run.",
    "compare": "Was the upgrade worth it?",
    "init": "Write a first cfgaudit.toml.",
    "demo": "Write a sample machine with planted faults, and audit it.",
}
GROUPS = frozenset({"measure"})
"""Commands that have commands of their own."""
CAUTIOUS = frozenset(
    {
        "check",
        "facts",
        "pins",
        "tree",
        "roles",
        "where",
        "mark",
        "marks",
        "changes",
        "history",
        "suspects",
        "restore",
        "gate",
        "measure",
        "evidence",
        "hours",
        "compare",
        "init",
        "demo",
    }
)
"""Commands whose help repeats the cautions: all that read a machine's configuration."""
HELP = """Check the INI-style configuration of a 3D printer's firmware, in whatever words it is written.

Run `cfgaudit check` in the configuration's folder, or `cfgaudit demo` to see a sample first. cfgaudit reads
files and runs nothing of theirs. Only restore changes a file, and shows how; measure, init and demo write new
ones, and mark and gate --accept keep in git what you declare.

Exit status: 0 clean, 1 findings, 2 wrong usage or nothing readable. After `cfgaudit --install-completion`
your shell completes commands, options and rules' names."""
USAGE = 2
INTERRUPTED = 130
"""As shells have it."""


def main() -> None:
    """Run the command that the arguments name; exit with 0, 1 (findings) or 2 (nothing could be said)."""
    try:
        _run(sys.argv[1:])
    except KeyboardInterrupt:
        sys.exit(INTERRUPTED)


def _run(arguments: Sequence[str]) -> None:
    _open_streams()
    if list(arguments) == ["--version"]:
        print(f"{PROGRAM} {__version__}")
        return
    from cfgaudit.cli.cache import use_cache
    from cfgaudit.cli.failure import told
    from cfgaudit.cli.short_life import collect_rarely

    collect_rarely()
    use_cache()
    with told():
        status = build_app(arguments)(arguments or ["--help"], prog_name=PROGRAM, standalone_mode=False)
    sys.exit((status or 0) if arguments else USAGE)


def build_app(arguments: Sequence[str] = ()) -> typer.Typer:
    """The application with the one command that the arguments name, or with all."""
    import typer

    from cfgaudit.cli.plain import PlainCommand, Program
    from cfgaudit.report.cautions import CAUTIONS

    app = typer.Typer(
        cls=Program,
        help=HELP,
        epilog=CAUTIONS,
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
        if name in GROUPS:
            group = import_module(f"cfgaudit.cli.{name}").build(arguments)
            app.add_typer(group, name=name, short_help=COMMANDS[name])
            continue
        epilog = CAUTIONS if name in CAUTIOUS else None
        register = app.command(name, cls=PlainCommand, short_help=COMMANDS[name], epilog=epilog)
        register(import_module(f"cfgaudit.cli.{name}").run)
    return app


def _wanted(arguments: Sequence[str]) -> tuple[str, ...]:
    """The one command that is asked for; all of them for help, completion and misspellings."""
    first = next((argument for argument in arguments if not argument.startswith("-")), "")
    if first in COMMANDS and f"_{PROGRAM.upper()}_COMPLETE" not in os.environ:
        return (first,)
    return tuple(COMMANDS)


def _open_streams() -> None:
    """Streams that were closed lead nowhere; letters that the locale lacks are written out."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w"))  # noqa: SIM115 - open as long as the process
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
