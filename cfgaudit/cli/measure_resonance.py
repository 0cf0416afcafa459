"""``measure resonance``: what an axis rings with, and which shaper suits it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

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
)
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile

if TYPE_CHECKING:
    from cfgaudit.evidence.resonance import Configured

File = Annotated[str, typer.Argument(metavar="FILE.csv", help="Time and one or three accelerations.")]
Axis = Annotated[str, typer.Option("--axis", metavar="A", help="The axis that was shaken: x, y …")]


def run(
    file: File,
    axis: Axis,
    main: MainFile = None,
    columns: Columns = None,
    plot: Plot = None,
    instrument: Instrument = "",
    conditions: Conditions = "",
    note: Note = "",
    dry_run: DryRun = False,
    form: Form = Format.TEXT,
) -> None:
    """Find what an axis rings with in an accelerometer's recording, hold the shaper that is configured against
    it, and keep that as a record.

    Record without a shaper, while the axis is shaken through all frequencies.
    """
    from cfgaudit.evidence.record import MeasurementKind
    from cfgaudit.evidence.recording import read_recording
    from cfgaudit.evidence.resonance import analyse, resonance_results
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.resonance import resonance_form, resonance_lines

    picture = plot_file(plot)
    measured = open_measured(main)
    letter = _letter(measured, axis)
    path = Path(file)
    with measuring(), progress(f"measuring from {path.name}"):
        recording = read_recording(path, column_names(columns))
        found = analyse(path, recording, letter, configured_for(measured, letter))
    said = Circumstances(instrument, conditions, note)
    record = new_record(
        measured,
        MeasurementKind.RESONANCE,
        f"axis {letter}",
        resonance_results(found),
        raw=(path,),
        said=said,
    )
    if picture is not None:
        from cfgaudit.report.plots.resonance import draw_resonance

        draw_resonance(found, picture)
    kept = None if dry_run else keep(measured, record)
    if form is Format.JSON:
        write(dump(resonance_form(found, kept)))
    else:
        show(resonance_lines(found, kept, picture, width()))


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
    from cfgaudit.evidence.resonance import Configured
    from cfgaudit.facts.shapers import shaper_of

    axis = measured.subject.machine.axis(letter)
    shaper = shaper_of(axis)
    set_to = None if shaper is None else (shaper.kind, shaper.frequency, shaper.damping)
    return Configured(set_to, axis.amount("accel.max"))
