"""``measure resonance``: what an axis rings with, and which shaper suits it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypedDict

import typer

from cfgaudit.cli.drawing import drawing
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.measuring import Columns, Plot, column_names, measuring, plot_file
from cfgaudit.cli.options import Form, Format
from cfgaudit.cli.progress import progress
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
    tell_more,
)
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile
from cfgaudit.physics.shaping import BUDGET

if TYPE_CHECKING:
    from cfgaudit.evidence.vibration.resonance import Configured

WIDEST_BUDGET = 10.0
"""mm. Who rounds corners by more wants no shaper."""

File = Annotated[str, typer.Argument(metavar="FILE.csv", help="Time and one or three accelerations.")]
Axis = Annotated[str, typer.Option("--axis", metavar="A", help="The axis that was shaken: x, y …")]
Budget = Annotated[
    float, typer.Option("--budget", metavar="MM", help="How far a full reversal may be rounded, in mm.")
]
Leaves = Annotated[
    float,
    typer.Option("--leaves", metavar="PERCENT", help="How much of the vibration a shaper may leave, in %."),
]


def run(
    file: File,
    axis: Axis,
    main: MainFile = None,
    columns: Columns = None,
    budget: Budget = BUDGET,
    leaves: Leaves = 10.0,
    plot: Plot = None,
    instrument: Instrument = "",
    conditions: Conditions = "",
    note: Note = "",
    dry_run: DryRun = False,
    form: Form = Format.TEXT,
) -> None:
    """Find in an accelerometer's recording what an axis rings with, hold the configured shaper against that,
    and keep it as a record.

    Record with shaping off, while the axis is shaken through all its frequencies.
    """
    from cfgaudit.evidence.recordings.recording import read_recording
    from cfgaudit.evidence.records.record import MeasurementKind
    from cfgaudit.evidence.vibration.resonance import analyse, resonance_results
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.resonance import resonance_form, resonance_lines

    picture = plot_file(plot)
    limits = _limits(budget, leaves)
    measured = open_measured(main)
    letter = _letter(measured, axis)
    path = Path(file)
    with measuring(), progress(f"measuring from {path.name}"):
        recording = read_recording(path, column_names(columns))
        found = analyse(path, recording, letter, configured_for(measured, letter), **limits)
    record = new_record(
        measured,
        MeasurementKind.RESONANCE,
        f"axis {letter}",
        resonance_results(found),
        raw=(path,),
        said=Circumstances(instrument, conditions, note),
        doubts=[one.told for one in found.doubts],
    )
    if picture is not None:
        from cfgaudit.report.plots.resonance import draw_resonance

        with drawing():
            draw_resonance(found, picture)
    kept = None if dry_run else keep(measured, record)
    if form is Format.JSON:
        write(dump(resonance_form(found, kept)))
    else:
        show(resonance_lines(found, kept, picture, width()))
        tell_more(measured, record)


class Limits(TypedDict):
    """What is asked of a shaper: mm, and a share."""

    budget: float
    leaves: float


def _limits(budget: float, leaves: float) -> Limits:
    if not 0 < budget <= WIDEST_BUDGET:
        raise UsageError(f"--budget {budget:g}: give mm, above 0 and at most {WIDEST_BUDGET:g}")
    if not 0 < leaves < 100:
        raise UsageError(f"--leaves {leaves:g}: give per cent, above 0 and below 100")
    return Limits(budget=budget, leaves=leaves / 100.0)


def _letter(measured: Measured, axis: str) -> str:
    letters = [one.letter for one in measured.subject.machine.axes()]
    letter = axis.strip().casefold()
    if letter not in letters:
        raise UsageError(
            f"this machine has no axis {axis.strip() or 'without a name'}: it has {', '.join(letters)}"
        )
    return letter


def configured_for(measured: Measured, letter: str) -> Configured:
    """The shaper and the acceleration that an axis is set to."""
    from cfgaudit.evidence.vibration.resonance import Configured
    from cfgaudit.facts.shapers import shaper_of

    axis = measured.subject.machine.axis(letter)
    shaper = shaper_of(axis)
    set_to = None if shaper is None else (shaper.kind, shaper.frequency, shaper.damping)
    written = shaper is None or shaper.damping_is_written
    return Configured(set_to, axis.amount("accel.max"), written)
