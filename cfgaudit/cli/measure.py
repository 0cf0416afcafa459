"""``measure``: a group of commands, one a kind of measurement. Each is imported only when it is asked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib import import_module

import typer

from cfgaudit.cli.plain import PlainCommand, PlainGroup
from cfgaudit.report.cautions import CAUTIONS

MEASUREMENTS: Mapping[str, str] = {
    "resonance": "What an axis rings with, and which shaper suits it.",
    "belts": "Whether two belts are alike, and which one is looser.",
    "repeatability": "How well a probe finds the same place again.",
    "heatup": "How a heater heats, and whether guard and regulator suit it.",
    "hours": "How long a part has run.",
    "value": "Any other number.",
    "hardware": "Declare a change of the machine that no file tells.",
}
ANY_NUMBER = {"ignore_unknown_options": True}
"""So that -0.02 is a number and no option."""
TAKE_NUMBERS = frozenset({"hours", "value"})
USAGE = 2
HELP = """Say what a recording means, hold the configuration against it, and keep it as a record.

Records are small files in the folder evidence beside the main file, to be committed with it. `cfgaudit
evidence` lists them, `cfgaudit compare` sets before and after side by side, and `cfgaudit check` holds the
configuration against those that still hold."""


def build(arguments: Sequence[str]) -> typer.Typer:
    """The group with the one command that the arguments name, or with all."""
    group = typer.Typer(
        cls=PlainGroup,
        help=HELP,
        epilog=CAUTIONS,
        rich_markup_mode=None,
        invoke_without_command=True,
        add_completion=False,
    )

    @group.callback()
    def alone(context: typer.Context) -> None:
        if context.invoked_subcommand is None:
            print(context.get_help())
            raise typer.Exit(USAGE)

    for name in _wanted(arguments):
        register = group.command(
            name,
            cls=PlainCommand,
            short_help=MEASUREMENTS[name],
            epilog=CAUTIONS,
            context_settings=ANY_NUMBER if name in TAKE_NUMBERS else None,
        )
        register(import_module(f"cfgaudit.cli.measure_{name}").run)
    return group


def _wanted(arguments: Sequence[str]) -> tuple[str, ...]:
    """The one command that is asked for; all of them for help, completion and misspellings."""
    words = [argument for argument in arguments if not argument.startswith("-")]
    asked = words[1] if len(words) > 1 else ""
    return (asked,) if asked in MEASUREMENTS else tuple(MEASUREMENTS)
