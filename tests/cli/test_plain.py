"""Plain commands give what the command line library itself gives for the same arguments."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Optional

import pytest
import typer
from typer.core import TyperCommand, TyperGroup
from typer.testing import CliRunner

from cfgaudit.cli.plain import PlainCommand, PlainGroup


class Colour(StrEnum):
    RED = "red"
    BLUE = "blue"


def outcome(arguments: list[str], command: type[TyperCommand], group: type[TyperGroup]) -> tuple[int, str]:
    """Exit status, and what was printed: what the command got, or the library's complaint."""
    app = typer.Typer(cls=group, rich_markup_mode=None)

    @app.callback()
    def program(loud: bool = False, tag: Annotated[Optional[str], typer.Option()] = None) -> None:  # noqa: UP045
        print(f"{loud=} {tag=}")

    @app.command("paint", cls=command)
    def paint(
        wall: str,
        other: Annotated[str | None, typer.Argument()] = None,
        times: int = 1,
        colour: Annotated[Colour, typer.Option()] = Colour.RED,
        dry: bool = False,
        tools: Annotated[Optional[list[str]], typer.Option("--tool")] = None,  # noqa: UP045
    ) -> None:
        print(f"{wall=} {other=} {times=} {colour=} {dry=} {tools=}")

    result = CliRunner().invoke(app, arguments)
    return result.exit_code, result.output


@pytest.mark.parametrize(
    "line",
    [
        "paint north",
        "paint north south",
        "paint",
        "paint ''",
        "--loud --tag new paint north",
        "paint north --times 3",
        "paint north --times many",
        "paint north --colour blue",
        "paint north --colour green",
        "paint north --dry --tool brush --tool roll",
        "paint north south east",
        "paint north --unknown",
        "paint --help",
        "--help",
    ],
)
def test_the_same_as_the_library(line: str) -> None:
    arguments = [word.strip("'") for word in line.split()]
    assert outcome(arguments, PlainCommand, PlainGroup) == outcome(arguments, TyperCommand, TyperGroup)
