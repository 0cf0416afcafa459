"""``measure hours``: how long a part has run."""

from __future__ import annotations

from typing import Annotated

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.record_keeping import Circumstances, Note, keep, new_record, open_measured
from cfgaudit.cli.screen import show, width
from cfgaudit.cli.states import MainFile

Part = Annotated[str, typer.Argument(metavar="PART", help="What has run: belts, rails-x, nozzle …")]
Hours = Annotated[
    str,
    typer.Argument(metavar="HOURS", help="How long it has run since it was new, or since it was replaced."),
]
Replaced = Annotated[
    bool, typer.Option("--replaced", help="It is replaced now, after these hours; the new one begins at 0.")
]


def run(part: Part, hours: Hours, replaced: Replaced = False, main: MainFile = None, note: Note = "") -> None:
    """Keep how long a part has run, or that it was replaced. Limits stand in cfgaudit.toml under [hours]."""
    from cfgaudit.evidence.hours import hours_of
    from cfgaudit.evidence.read import read_evidence
    from cfgaudit.evidence.record import MeasurementKind, Result
    from cfgaudit.report.lines import one_line, wrapped

    amount = _amount(hours)
    if not part.strip():
        raise UsageError("the part's name is empty: say what has run")
    measured = open_measured(main)
    before = hours_of(read_evidence(measured.opened.source), part)
    if before is not None and amount < before.hours:
        raise UsageError(
            f"{part} has {before.hours:g} h already ({before.record.file}), {amount:g} is less: give the whole time "
            "since it was new, or --replaced with the time that the old one had"
        )
    record = new_record(
        measured,
        MeasurementKind.HOURS,
        part.strip(),
        (Result("hours", amount, "h"),),
        said=Circumstances(note=note),
        replaced=replaced,
    )
    path = keep(measured, record)
    told = f"{path} is written: {part.strip()} {'was replaced after' if replaced else 'has run'} {amount:g} h"
    show(wrapped(one_line(told), width(), 0))


def _amount(text: str) -> float:
    from math import isfinite

    try:
        amount = float(text.removesuffix("h").strip())
    except ValueError:
        raise UsageError(f'"{text}" is no number of hours: give one such as 412 or 412.5') from None
    if not isfinite(amount) or amount < 0:
        raise UsageError(f"{text} hours cannot be: give a number from 0")
    return amount
