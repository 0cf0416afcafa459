"""``measure repeatability``: how well a probe finds the same place again."""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.measuring import measuring
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
    tell_more,
)
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile

if TYPE_CHECKING:
    from cfgaudit.evidence.probing.repeatability import Settings
    from cfgaudit.machine.model import Part

STANDARD_INPUT = "-"
TOUCHES_AT_MOST = 1000
Readings = Annotated[
    str,
    typer.Argument(metavar="READINGS", help="A file with one reading in mm a line, or - for standard input."),
]
Column = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--column",
        metavar="C",
        help="The column of a CSV that holds the readings: name or number.",
        show_default=False,
    ),
]
Probe = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option("--probe", metavar="NAME", help="Which probe, where there are several.", show_default=False),
]


def run(
    readings: Readings,
    column: Column = None,
    probe: Probe = None,
    main: MainFile = None,
    instrument: Instrument = "",
    conditions: Conditions = "",
    note: Note = "",
    dry_run: DryRun = False,
    form: Form = Format.TEXT,
) -> None:
    """Tell from readings of one place how well a probe repeats, hold that against its tolerance and one step
    of Z, and keep it as a record.

    Probe the same place ten times or more, as the machine does it in use.
    """
    from cfgaudit.evidence.probing.readings import read_readings
    from cfgaudit.evidence.probing.repeatability import repeatability, repeatability_results
    from cfgaudit.evidence.records.record import MeasurementKind, RawFile
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.repeatability import repeatability_form, repeatability_lines

    measured = open_measured(main)
    part = _probe(measured, probe)
    name, data = _data(readings)
    with measuring():
        found = repeatability(read_readings(name, data, column), settings_of(measured, part))
    title = part.title if part is not None else "probe"
    record = new_record(
        measured,
        MeasurementKind.REPEATABILITY,
        title,
        repeatability_results(found),
        said=Circumstances(instrument, conditions, note),
    )
    raw = RawFile(Path(name).name, hashlib.sha256(data).hexdigest())
    record = record._replace(raw=(raw,))
    kept = None if dry_run else keep(measured, record)
    if form is Format.JSON:
        write(dump(repeatability_form(title, found, kept)))
    else:
        show(repeatability_lines(title, found, kept, width()))
        tell_more(measured, record)


def _probe(measured: Measured, name: str | None) -> Part | None:
    """The probe of that name, or the only one; None where the machine has none, and none is asked for."""
    from cfgaudit.tree.names import fold_name

    probes = {fold_name(one.title): one for one in measured.subject.machine.kind("probe")}
    titles = ", ".join(one.title for one in probes.values())
    if name is None:
        if len(probes) > 1:
            raise UsageError(f"this machine has several probes: say with --probe which of {titles}")
        return next(iter(probes.values()), None)
    wanted = fold_name(name)
    for key, one in probes.items():
        if wanted in (key, fold_name(one.name)):
            return one
    asked = name.strip() or "without a name"
    raise UsageError(f"this machine has no probe {asked}: it has {titles or 'none at all'}")


def settings_of(measured: Measured, probe: Part | None) -> Settings:
    """What the probe, and Z below it, are set to."""
    from cfgaudit.evidence.probing.repeatability import Settings

    step = measured.subject.facts.get("axis.z.step_size")
    length = step.value if step is not None and isinstance(step.value, float) else None
    touches = _amount(probe, "probe.samples")
    whole = int(touches) if touches is not None and 0 < touches <= TOUCHES_AT_MOST else None
    return Settings(length, _amount(probe, "probe.tolerance"), whole)


def _amount(probe: Part | None, role: str) -> float | None:
    meaning = probe.get(role) if probe is not None else None
    return meaning.amount if meaning is not None else None


def _data(readings: str) -> tuple[str, bytes]:
    """What the readings are called in messages, and their bytes, one more than are taken at most."""
    from cfgaudit.evidence.probing.readings import BYTES_AT_MOST

    if readings == STANDARD_INPUT:
        if sys.stdin is None:
            raise UsageError("standard input is closed: send the readings to it")
        return "standard input", sys.stdin.buffer.read(BYTES_AT_MOST + 1)
    path = Path(readings)
    try:
        if path.is_dir():
            raise UsageError(f"{path} is a folder: name the file with the readings, or - for standard input")
        if not path.is_file():
            raise UsageError(f"{path} is no file: name the file with the readings, or - for standard input")
        with open(path, "rb") as file:
            return str(path), file.read(BYTES_AT_MOST + 1)
    except (OSError, ValueError) as error:
        raise UsageError(
            f"{path} cannot be read ({getattr(error, 'strerror', error)}): check the name"
        ) from error
