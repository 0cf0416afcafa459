"""Keeping a measurement: the machine that it was taken of, and the record that is written of it."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NamedTuple

import typer

from cfgaudit.cli.clock import current_time, time_of_reading
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import AS_OPTION, Opened, open_configuration
from cfgaudit.cli.screen import show, width
from cfgaudit.evidence.records.record import (
    FOLDER,
    DependedOn,
    Evidence,
    MeasurementKind,
    RawFile,
    Record,
    Result,
)
from cfgaudit.source import SourceError

if TYPE_CHECKING:
    from cfgaudit.checks.finding import Subject

Instrument = Annotated[
    str, typer.Option("--instrument", metavar="TEXT", help="What it was measured with.", show_default=False)
]
Conditions = Annotated[
    str,
    typer.Option(
        "--conditions", metavar="TEXT", help="How: warm or cold, which spool on top …", show_default=False
    ),
]
Note = Annotated[str, typer.Option("--note", metavar="TEXT", help="Anything else.", show_default=False)]
DryRun = Annotated[bool, typer.Option("--dry-run", help="Say what there is to say, and write no record.")]


EACH = {
    MeasurementKind.RESONANCE: "axis",
    MeasurementKind.REPEATABILITY: "probe",
    MeasurementKind.HEATUP: "heater",
}
"""What a recording is of."""


class Measured(NamedTuple):
    """The machine that is measured, as its files are now."""

    opened: Opened
    subject: Subject


class Circumstances(NamedTuple):
    """What the builder says of a measurement, in free words."""

    instrument: str = ""
    conditions: str = ""
    note: str = ""


def open_measured(main: str | None) -> Measured:
    """The machine of the configuration that is named as for `open_configuration`, with the same errors."""
    from cfgaudit.audit import understand

    opened = open_configuration(main, naming=AS_OPTION)
    now = time_of_reading(opened.folder)
    return Measured(opened, understand(opened.source, opened.main, opened.project, now=now))


def new_record(
    measured: Measured,
    kind: MeasurementKind,
    part: str,
    results: Sequence[Result],
    *,
    raw: Iterable[Path] = (),
    said: Circumstances | None = None,
    affects: tuple[str, ...] = (),
    replaced: bool = False,
    doubts: Iterable[str] = (),
) -> Record:
    """The record of a measurement that was taken now, with the configuration as it is now.

    ``doubts`` say what speaks against its results, each as one clause; no rule will be held against it then.
    Raises UsageError for a raw file that cannot be read.
    """
    from cfgaudit.evidence.records.chosen import chosen_now
    from cfgaudit.evidence.records.dependencies import dependencies, settings_digest
    from cfgaudit.evidence.records.rereading import unread_settings

    said = said or Circumstances()
    depends: tuple[DependedOn, ...] = dependencies(kind, part, measured.subject.machine)
    return Record(
        "",
        kind,
        current_time(),
        part,
        _commit(measured.opened.folder),
        settings_digest(measured.subject.tree),
        tuple(results),
        depends,
        tuple(raw_file(path) for path in raw),
        said.instrument.strip(),
        said.conditions.strip(),
        said.note.strip(),
        affects,
        replaced,
        main=measured.opened.main,
        chosen=tuple(one.on for one in chosen_now(kind, part, measured.subject.machine)),
        unread=unread_settings(kind, part, measured.subject.machine),
        doubts=tuple(dict.fromkeys(filter(None, (one.strip() for one in doubts)))),
    )


def tell_more(measured: Measured, record: Record) -> None:
    """Say below what was measured what else there is to know of a record.

    That its recording was kept before, which settings are not watched, and how to tell what drives x and y
    where that matters and is not understood.
    """
    from cfgaudit.evidence.records.again import kept_before
    from cfgaudit.evidence.records.layout import layout_note
    from cfgaudit.evidence.records.unwatched import unwatched
    from cfgaudit.report.evidence import kept_before_lines
    from cfgaudit.report.lines import one_line, wrapped
    from cfgaudit.report.unwatched import NOT_WATCHED, unwatched_text

    machine = measured.subject.machine
    show(kept_before_lines(kept_before(record, measured.subject.evidence), width()))
    told = unwatched_text(NOT_WATCHED, unwatched(record.kind, record.part, machine))
    for note in filter(None, (told, layout_note(record.kind, record.part, machine))):
        show(wrapped(one_line(note), width(), 0))


def keep(measured: Measured, record: Record) -> Path:
    """Write a record beside the main file; where it stands, as the user may call it. Raises UsageError.

    Only into a folder that is also read: what is written elsewhere would count for nothing.
    """
    from cfgaudit.evidence.records.write import EvidenceNotWritten, write_record

    folder = measured.opened.folder
    check_readable(measured.subject.evidence, folder)
    _check_recording(measured.subject, record)
    try:
        return folder / write_record(folder, record, follow=_is_read(measured.opened))
    except EvidenceNotWritten as error:
        raise UsageError(str(error)) from error


def _check_recording(subject: Subject, record: Record) -> None:
    """Raise UsageError where the recording was kept as that of another part: one of the two is wrong."""
    from cfgaudit.evidence.records.again import kept_of_another

    before = kept_of_another(record, subject.evidence, subject.machine)
    if before is not None:
        kept_as = f"{before.raw.name} was kept as {before.record.title}, in {before.record.file}"
        each = EACH.get(record.kind, "part")
        raise UsageError(
            f"{kept_as}: record each {each} for itself, or delete that record if it is the wrong one"
        )


def _is_read(opened: Opened) -> bool:
    return opened.source.folder(FOLDER) is not None


def check_readable(evidence: Evidence, folder: Path = Path()) -> None:
    """Raise UsageError where there are records that cannot be read: nobody knows then what was measured."""
    if (barred := evidence.barred) is not None:
        raise UsageError(f"{folder / FOLDER} cannot be read ({barred.why}): {barred.remedy}")


def raw_file(path: Path) -> RawFile:
    """The file that was measured from, by name and digest."""
    try:
        with open(path, "rb") as file:
            return RawFile(path.name, hashlib.file_digest(file, "sha256").hexdigest())
    except OSError as error:
        raise UsageError(f"{path} cannot be read ({error.strerror}): check the name") from error


def _commit(folder: Path) -> str | None:
    """The commit that the files are at, if they are in git."""
    from cfgaudit.history.git.repository import Repository

    try:
        return Repository(folder).commit("HEAD")
    except SourceError:
        return None
