"""``measure value``: any number that the other measurements do not know."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.numbers import DECIMAL, decimal, no_options
from cfgaudit.cli.options import Form, Format
from cfgaudit.cli.record_keeping import (
    Circumstances,
    Conditions,
    DryRun,
    Instrument,
    Measured,
    Note,
    keep,
    new_record,
    open_measured,
)
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile
from cfgaudit.evidence.records.quantities import NO_UNIT
from cfgaudit.tree.names import fold_name

if TYPE_CHECKING:
    from cfgaudit.evidence.records.record import Record, Result

DECIMALS = "give numbers with a point for the decimals, then the unit"


class Better(StrEnum):
    """Which direction is an improvement."""

    HIGHER = "higher"
    LOWER = "lower"


Name = Annotated[str, typer.Argument(metavar="NAME", help="What was measured: print-time, noise …")]
Numbers = Annotated[
    list[str],
    typer.Argument(
        metavar="NUMBERS UNIT",
        help=f"One number, or that of each repetition, and the unit; {NO_UNIT} for none.",
    ),
]
BetterIs = Annotated[
    Optional[Better],  # noqa: UP045
    typer.Option(
        "--better",
        help="Which is better, so that compare can say it; else as the last record of that name has it.",
        show_default=False,
    ),
]


def run(
    name: Name,
    numbers: Numbers,
    better: BetterIs = None,
    main: MainFile = None,
    instrument: Instrument = "",
    conditions: Conditions = "",
    note: Note = "",
    dry_run: DryRun = False,
    form: Form = Format.TEXT,
) -> None:
    """Keep a number that no other measurement knows, for compare to set beside later ones.

    Repeat it: only of several numbers can be said whether an upgrade made the difference, or chance.

    cfgaudit measure value print-time 61.5 62.1 61.2 min --better lower
    """
    from cfgaudit.evidence.records.record import MeasurementKind
    from cfgaudit.report.evidence import kept_form, kept_lines, value_told
    from cfgaudit.report.json_form import dump

    no_options((name, *numbers))
    name = name.strip()
    if not fold_name(name):
        raise UsageError("the name is empty: say what was measured in a word")
    result = _result(name, numbers, better)
    measured = open_measured(main)
    _same_unit(measured, result)
    before = _said_before(measured, result)
    if before is not None:
        result = result._replace(better=before.results[0].better)
    said = Circumstances(instrument, conditions, note)
    record = new_record(measured, MeasurementKind.VALUE, name, (result,), said=said)
    kept = None if dry_run else keep(measured, record)
    if form is Format.JSON:
        write(dump(kept_form(record, kept)))
    else:
        show(kept_lines(value_told(result, before), kept, width()))


def _result(name: str, words: list[str], better: Better | None) -> Result:
    """Mean, unit, how many, and their sample standard deviation."""
    from statistics import fmean, stdev

    from cfgaudit.evidence.records.record import Result

    *texts, unit = (word.strip() for word in words)
    if not texts:
        example = f"{unit} mm" if DECIMAL.fullmatch(unit) else "12.5 mm"
        raise UsageError(f"a number and its unit are needed: cfgaudit measure value {name} {example}")
    amounts = [decimal(text, DECIMALS) for text in texts]
    if not unit or (unit != NO_UNIT and DECIMAL.fullmatch(unit)):
        raise UsageError(f'"{unit}" is no unit: end with one, such as mm, or with {NO_UNIT} for none')
    try:
        spread = stdev(amounts) if len(amounts) > 1 else None
        return Result(name, fmean(amounts), unit, len(amounts), spread, better or "")
    except OverflowError:
        raise UsageError("these numbers are too large to be kept: give them in a larger unit") from None


def _said_before(measured: Measured, result: Result) -> Record | None:
    """The newest record of that name and unit that says which way is better, where this one does not."""
    from cfgaudit.evidence.comparing.sides import same_unit
    from cfgaudit.evidence.records.record import MeasurementKind

    if result.better:
        return None
    for record in measured.subject.evidence.of(MeasurementKind.VALUE, result.name):
        said = record.results[0]
        if said.better and same_unit(said.unit, result.unit):
            return record
    return None


def _same_unit(measured: Measured, result: Result) -> None:
    """Raise UsageError where the newest record of that name has another unit: they could not be compared."""
    from cfgaudit.evidence.comparing.sides import same_unit
    from cfgaudit.evidence.records.record import MeasurementKind

    for record in measured.subject.evidence.of(MeasurementKind.VALUE, result.name):
        unit = record.results[0].unit
        if same_unit(unit, result.unit):
            return
        before = f"{record.part} was kept in {unit} before ({record.file})"
        raise UsageError(f"{before}: give it in {unit}, or under another name")
