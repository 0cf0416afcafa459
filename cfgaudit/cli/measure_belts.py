"""``measure belts``: whether two belts are alike, and which one is looser."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Optional

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
    Note,
    keep,
    new_record,
    open_measured,
    tell_more,
)
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile

if TYPE_CHECKING:
    from cfgaudit.evidence.vibration.belts import Belts

BeltA = Annotated[str, typer.Argument(metavar="A.csv", help="Belt A: time and one or three accelerations.")]
BeltB = Annotated[str, typer.Argument(metavar="B.csv", help="Belt B, recorded in the same way.")]
Axis = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--axis",
        metavar="A",
        help="The acceleration that counts, of three: x, y or z. Without it the one with most energy.",
        show_default=False,
    ),
]


def run(
    belt_a: BeltA,
    belt_b: BeltB,
    axis: Axis = None,
    main: MainFile = None,
    columns: Columns = None,
    plot: Plot = None,
    instrument: Instrument = "",
    conditions: Conditions = "",
    note: Note = "",
    dry_run: DryRun = False,
    form: Form = Format.TEXT,
) -> None:
    """Tell from a recording of each how alike two belts are and which one is looser, and keep that as a
    record.

    Shake both through the same frequencies, with the carriage at the same place, so that the spans are equal.
    """
    from cfgaudit.evidence.records.record import MeasurementKind
    from cfgaudit.evidence.vibration.belts import belt_results
    from cfgaudit.report.belts import belts_form, belts_lines
    from cfgaudit.report.json_form import dump

    picture = plot_file(plot)
    measured = open_measured(main)
    paths = (Path(belt_a), Path(belt_b))
    with measuring(), progress(f"measuring from {paths[0].name} and {paths[1].name}"):
        found = _compared(paths, column_names(columns), axis)
    record = new_record(
        measured,
        MeasurementKind.BELTS,
        "belts",
        belt_results(found),
        raw=paths,
        said=Circumstances(instrument, conditions, note),
        doubts=[one.told for one in found.doubts],
    )
    if picture is not None:
        from cfgaudit.report.plots.belts import draw_belts

        with drawing():
            draw_belts(found, picture)
    kept = None if dry_run else keep(measured, record)
    if form is Format.JSON:
        write(dump(belts_form(found, kept)))
    else:
        show(belts_lines(found, kept, picture, width()))
        tell_more(measured, record)


def _compared(paths: tuple[Path, Path], columns: tuple[str, ...], axis: str | None) -> Belts:
    from cfgaudit.cli.record_keeping import raw_file
    from cfgaudit.evidence.recordings.recording import read_recording
    from cfgaudit.evidence.vibration.belts import analyse_belts

    recordings = [read_recording(path, columns) for path in paths]
    if raw_file(paths[0]).sha256 == raw_file(paths[1]).sha256:
        raise UsageError(f"{paths[0]} and {paths[1]}: A and B are the same recording: name one of each belt")
    direction = axis.strip().casefold() if axis is not None else None
    return analyse_belts([path.name for path in paths], recordings, direction)
