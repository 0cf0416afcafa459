"""Commands whose plain parameters are taken as they are.

The command line library converts every value, texts too, with a validation library whose import alone takes
longer than reading a large configuration. Flags, texts, and what was left out need no conversion; everything
else (a choice that is spelled out) still gets it.
"""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum
from functools import partial
from typing import Any

from typer.core import TyperCommand, TyperGroup

Convert = Callable[[Any, Any], Any]
"""From the context and the value of the command line to what the command gets."""


class PlainCommand(TyperCommand):
    """A command of the program."""

    def get_params(self, ctx: Any) -> list[Any]:
        return _plain(super().get_params(ctx))


class PlainGroup(TyperGroup):
    """A command of several, each with a name of its own."""

    def get_params(self, ctx: Any) -> list[Any]:
        return _plain(super().get_params(ctx))


class Program(PlainGroup):
    """The program itself. Its commands stand in the order of ``COMMANDS``, groups among them."""

    def list_commands(self, ctx: Any) -> list[str]:
        from cfgaudit.cli.main import COMMANDS

        names = super().list_commands(ctx)
        return sorted(names, key=list(COMMANDS).index)


def _plain(parameters: list[Any]) -> list[Any]:
    for one in parameters:
        if "process_value" not in vars(one):
            vars(one)["process_value"] = partial(_process, one, one.process_value)
    return parameters


def _process(parameter: Any, convert: Convert, ctx: Any, value: Any) -> Any:
    if not _needs_no_conversion(parameter, value):
        return convert(ctx, value)
    return value if parameter.callback is None else parameter.callback(ctx, parameter, value)


def _needs_no_conversion(parameter: Any, value: Any) -> bool:
    if value is None:
        return not parameter.required and parameter.nargs == 1 and not parameter.multiple
    if isinstance(value, str) and not isinstance(value, Enum):
        described = getattr(parameter, "type_descriptor", None)
        return parameter.nargs == 1 and getattr(described, "annotation", None) is str
    return isinstance(value, (bool, Enum))
