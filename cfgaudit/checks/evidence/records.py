"""The records themselves: files that are none, measurements that no longer hold, and missing ones."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import number
from cfgaudit.checks.registry import check
from cfgaudit.checks.rule import format_amount
from cfgaudit.evidence.records.dependencies import kinds_that_depend, members
from cfgaudit.evidence.records.record import FOLDER, Evidence, MeasurementKind, Record, Staleness
from cfgaudit.evidence.records.staleness import LASTING, stale_records
from cfgaudit.facts.axis_limits import limit_of
from cfgaudit.facts.inputs import positive
from cfgaudit.facts.shapers import shaper_of
from cfgaudit.machine.model import Axis, Machine, Meaning
from cfgaudit.syntax.document import Place
from cfgaudit.tree.names import fold_name

REASONS_AT_MOST = 3
SHAKEN = (MeasurementKind.RESONANCE, MeasurementKind.BELTS)
"""What is measured with an accelerometer."""
RECORDED = (*SHAKEN, MeasurementKind.REPEATABILITY, MeasurementKind.HEATUP)
"""What is computed from a recording: whoever has such a record measures this machine."""


@check("evidence-broken")
def evidence_broken(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A file among the records that is none, and a folder that cannot be read."""
    if (barred := subject.evidence.barred) is not None:
        yield Problem(
            in_file(FOLDER),
            f"this cannot be read ({barred.why}): no measurement is held against anything",
            FOLDER,
            advice=f"{barred.remedy[:1].upper()}{barred.remedy[1:]}.",
        )
    for one in subject.evidence.broken:
        why = " ".join(one.why.split()).rstrip(".")
        yield Problem(in_file(one.file, one.line), f"this is no record of a measurement: {why}", one.file)


@check("evidence-stale")
def evidence_stale(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """The newest measurement of something, if what it depends on is not what it was."""
    for one in stale_records(subject.evidence, subject.machine, newest_records(subject.evidence)):
        place, *related = one.places or (_place(one.record, subject.machine),)
        date = one.record.date.date().isoformat()
        yield Problem(
            place,
            f"{one.record.title}, measured on {date}, no longer holds: {_reasons(one)}",
            subject=f"{one.record.kind} {fold_name(one.record.part)}",
            related=tuple(related),
        )


def newest_records(evidence: Evidence) -> Iterator[Record]:
    """The newest record of everything that was measured."""
    kinds = (kind for kind in MeasurementKind if kind not in LASTING)
    return (record for kind in kinds for record in evidence.newest(kind))


def _reasons(one: Staleness) -> str:
    """The first of them, each in one line."""
    told = [" ".join(reason.split()) for reason in one.reasons[:REASONS_AT_MOST]]
    more = len(one.reasons) - len(told)
    return "; ".join([*told, f"and {more} more"] if more > 0 else told)


def _place(record: Record, machine: Machine) -> Place:
    """Where the machine has what was measured; the record's file where it is gone."""
    parts = members(record.kind, record.part, machine) if record.kind in kinds_that_depend() else ()
    return next((part.place for part in parts if part.place is not None), in_file(record.file))


def in_file(file: str, line: int = 1) -> Place:
    """The beginning of a line of a file that is no part of the configuration."""
    return Place(file, line, 1, line, 1)


@check("evidence-missing")
def evidence_missing(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A fast axis of a machine that is measured, of which nobody knows what it rings with."""
    evidence, machine = subject.evidence, subject.machine
    if not any(evidence.of(kind) for kind in RECORDED) or not _can_be_shaken(evidence, machine):
        return
    shaken = {fold_name(one.part) for one in evidence.of(MeasurementKind.RESONANCE)}
    for axis in machine.axes():
        name = f"axis {axis.letter}"
        speed = limit_of(axis, "speed.max")
        top = positive(speed)
        if axis.letter == "e" or fold_name(name) in shaken or speed is None or top is None:
            continue
        if top >= number(limits, "fast"):
            yield Problem(
                _shaper_or(axis, speed).place,
                f"{name} moves with up to {format_amount(top, 'mm/s')}, and was never measured",
                subject=name,
                advice=f"Shake {axis.letter}, then cfgaudit measure resonance --axis {axis.letter} FILE.csv.",
            )


def _can_be_shaken(evidence: Evidence, machine: Machine) -> bool:
    """Whether there is an accelerometer: a part of the machine, or one that was clipped on before."""
    return any(machine.kind("accelerometer")) or any(evidence.of(kind) for kind in SHAKEN)


def _shaper_or(axis: Axis, speed: Meaning) -> Meaning:
    """The frequency of the axis's shaper, which a measurement would tell; its speed where it has none."""
    shaper = shaper_of(axis)
    return shaper.origin[1] if shaper is not None else speed
