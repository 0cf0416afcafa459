"""``measure hardware``: a change of the machine that no file tells."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.options import Form, Format
from cfgaudit.cli.record_keeping import (
    Circumstances,
    DryRun,
    Note,
    keep,
    new_record,
    open_measured,
)
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile
from cfgaudit.tree.names import fold_name

if TYPE_CHECKING:
    from cfgaudit.checks.finding import Subject

What = Annotated[str, typer.Argument(metavar="WHAT", help='What was changed: "new rails on X".')]
Affects = Annotated[
    list[str],
    typer.Option(
        "--affects",
        metavar="PART",
        help="What it concerns: axis.x, belts, heater.chamber, probe, 'axis.*'. Repeat for several.",
        show_default=False,
    ),
]


def run(
    what: What,
    affects: Affects,
    main: MainFile = None,
    note: Note = "",
    dry_run: DryRun = False,
    form: Form = Format.TEXT,
) -> None:
    """Declare that something was changed on the machine itself, so that what was measured of it before no
    longer holds.

    A motor, a driver or a sensor stands for all that is measured with it: motor.x for axis.x and the belts.
    """
    from cfgaudit.evidence.records.affected import meant
    from cfgaudit.evidence.records.record import MeasurementKind
    from cfgaudit.report.evidence import declared, kept_form, kept_lines
    from cfgaudit.report.json_form import dump

    what = what.strip()
    if not fold_name(what):
        raise UsageError("the text is empty: say what was changed")
    measured = open_measured(main)
    parts = tuple(dict.fromkeys(part for one in affects for part in _parts(one.strip(), measured.subject)))
    said = Circumstances(note=note)
    record = new_record(measured, MeasurementKind.HARDWARE, what, (), said=said, affects=parts)
    kept = None if dry_run else keep(measured, record)
    if form is Format.JSON:
        write(dump(kept_form(record, kept)))
    else:
        named = meant(parts, measured.subject.machine, measured.subject.evidence)
        show(kept_lines(declared(record, named), kept, width()))


def _parts(pattern: str, subject: Subject) -> tuple[str, ...]:
    """What a pattern means: itself, or what is measured of the parts that it names. Raises UsageError."""
    from cfgaudit.evidence.records.affected import affected, known_parts
    from cfgaudit.nearest import or_nearest

    if not pattern:
        raise UsageError("--affects is empty: name a part, such as axis.x, belts or heater.chamber")
    if parts := affected(pattern, subject.machine, subject.evidence):
        return parts
    known = known_parts(subject.machine, subject.evidence)
    named = or_nearest(pattern, known)
    raise UsageError(f"no part is called {named}: name one, such as axis.x, belts or heater.chamber")
