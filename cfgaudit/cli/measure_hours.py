"""``measure hours``: how long a part has run."""

from __future__ import annotations

from typing import Annotated

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.numbers import decimal, no_options
from cfgaudit.cli.options import Form, Format
from cfgaudit.cli.record_keeping import (
    Circumstances,
    DryRun,
    Measured,
    Note,
    keep,
    new_record,
    open_measured,
)
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile
from cfgaudit.evidence.records.record import HOURS_AT_MOST
from cfgaudit.tree.names import fold_name

Part = Annotated[str, typer.Argument(metavar="PART", help="What has run: belts, rails-x, nozzle …")]
Hours = Annotated[
    str,
    typer.Argument(metavar="HOURS", help="How long it has run since it was new, or since it was replaced."),
]
Replaced = Annotated[
    bool, typer.Option("--replaced", help="It is replaced now, after these hours; the new one begins at 0.")
]


def run(
    part: Part,
    hours: Hours,
    replaced: Replaced = False,
    main: MainFile = None,
    note: Note = "",
    dry_run: DryRun = False,
    form: Form = Format.TEXT,
) -> None:
    """Keep how many hours a part has run, or that it was replaced.

    How many it may run is yours to say, in cfgaudit.toml under [hours]: belts = 500. cfgaudit check tells
    what is beyond that, cfgaudit hours lists all.
    """
    from cfgaudit.evidence.records.record import HOUR, HOURS, MeasurementKind, Result
    from cfgaudit.report.evidence import kept_form, kept_lines
    from cfgaudit.report.hours import hours_told
    from cfgaudit.report.json_form import dump

    no_options((part, hours))
    part = part.strip()
    if not fold_name(part):
        raise UsageError("the part's name is empty: say in a word what has run")
    amount = _amount(hours)
    measured = open_measured(main)
    _not_less(measured, part, amount)
    record = new_record(
        measured,
        MeasurementKind.HOURS,
        part,
        (Result(HOURS, amount, HOUR),),
        said=Circumstances(note=note),
        replaced=replaced,
    )
    kept = None if dry_run else keep(measured, record)
    if form is Format.JSON:
        write(dump(kept_form(record, kept)))
    else:
        show(kept_lines(hours_told(record, measured.opened.project.hours), kept, width()))


def _amount(text: str) -> float:
    amount = decimal(text.strip().removesuffix("h").rstrip(), "give hours such as 412 or 412.5")
    if not 0 <= amount <= HOURS_AT_MOST:
        raise UsageError(f"{text} hours cannot be: give a number from 0 to {HOURS_AT_MOST:.0f}")
    return abs(amount)  # -0 is 0


def _not_less(measured: Measured, part: str, amount: float) -> None:
    """Raise UsageError where a part would have run less than it had already."""
    from cfgaudit.evidence.records.hours import hours_of, hours_text

    before = hours_of(measured.subject.evidence, part)
    if before is not None and amount < before.hours:
        raise UsageError(
            f"{part} has {hours_text(before.hours)} already ({before.record.file}) and {hours_text(amount)} "
            "is less: give the whole time since it was new; if it was replaced, first keep that with "
            "--replaced"
        )
