"""``measure value``: any number that the other measurements do not know."""

from __future__ import annotations

from typing import Annotated

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.record_keeping import (
    Circumstances,
    Conditions,
    Instrument,
    Note,
    keep,
    new_record,
    open_measured,
)
from cfgaudit.cli.screen import show, width
from cfgaudit.cli.states import MainFile

Name = Annotated[str, typer.Argument(metavar="NAME", help="What was measured: belt-x, print-time …")]
Numbers = Annotated[
    list[str],
    typer.Argument(
        metavar="NUMBER... UNIT", help="One number, or one of each repetition, and the unit; 1 for none."
    ),
]


def run(
    name: Name,
    numbers: Numbers,
    main: MainFile = None,
    instrument: Instrument = "",
    conditions: Conditions = "",
    note: Note = "",
) -> None:
    """Keep a number, or several of the same quantity, for compare to set beside later ones.

    cfgaudit measure value print-time 61.5 62.1 61.2 min
    """
    from cfgaudit.evidence.record import MeasurementKind, Result
    from cfgaudit.report.lines import one_line, wrapped

    *values, unit = numbers
    if not name.strip():
        raise UsageError("the name is empty: say what was measured")
    if not values:
        raise UsageError(f"give a number and its unit: cfgaudit measure value {name} {unit} mm")
    amounts = [_amount(text) for text in values]
    result = Result(name.strip(), *_summary(amounts, unit.strip()))
    measured = open_measured(main)
    said = Circumstances(instrument, conditions, note)
    record = new_record(measured, MeasurementKind.VALUE, name.strip(), (result,), said=said)
    path = keep(measured, record)
    told = f"{path} is written: {name.strip()} {result.value:g} {unit}"
    show(wrapped(one_line(told if len(amounts) == 1 else f"{told}, the mean of {len(amounts)}"), width(), 0))


def _amount(text: str) -> float:
    from math import isfinite

    try:
        amount = float(text)
    except ValueError:
        raise UsageError(
            f'"{text}" is no number: give numbers with a point for the decimals, then the unit'
        ) from None
    if not isfinite(amount):
        raise UsageError(f'"{text}" is no finite number: measure again')
    return amount


def _summary(amounts: list[float], unit: str) -> tuple[float, str, int, float | None]:
    """Mean, unit, how many, and their sample standard deviation."""
    from statistics import fmean, stdev

    return fmean(amounts), unit, len(amounts), stdev(amounts) if len(amounts) > 1 else None
