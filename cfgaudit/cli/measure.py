"""``measure``: a group of commands, one a kind of measurement. Each is imported only when it is asked for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import typer

MEASUREMENTS: Mapping[str, str] = {
    "resonance": "What an axis rings with, and which shaper suits it.",
    "belts": "Whether two belts are alike, and which one is looser.",
    "repeatability": "How well a probe finds the same place again.",
    "heatup": "What a heater is like: its guard and its regulator held against it.",
    "hours": "How long a part has run.",
    "value": "Any other number.",
    "hardware": "Declare a change of hardware that no file tells.",
}
HELP = """Measure: compute what a recording says, hold the configuration against it, and keep it as a record.

Records are small files in the folder evidence beside the main file, for the repository that holds it."""


def build(arguments: Sequence[str]) -> typer.Typer:
    """The group with the one command that the arguments name, or with all."""
    import typer

    from cfgaudit.cli.plain import PlainCommand, PlainGroup
    from cfgaudit.report.cautions import CAUTIONS

    group = typer.Typer(
        cls=PlainGroup, help=HELP, epilog=CAUTIONS, rich_markup_mode=None, no_args_is_help=True
    )
    words = [argument for argument in arguments if not argument.startswith("-")]
    asked = words[1] if len(words) > 1 else ""
    for name in (asked,) if asked in MEASUREMENTS else MEASUREMENTS:
        register = group.command(name, cls=PlainCommand, short_help=MEASUREMENTS[name], epilog=CAUTIONS)
        register(import_module(f"cfgaudit.cli.measure_{name}").run)
    return group
