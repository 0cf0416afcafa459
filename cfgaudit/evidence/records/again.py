"""Recordings that were kept before: what is computed twice of one run is no second measurement."""

from __future__ import annotations

from typing import NamedTuple

from cfgaudit.evidence.records.quantities import needed_results
from cfgaudit.evidence.records.record import Evidence, MeasurementKind, RawFile, Record
from cfgaudit.evidence.records.staleness import held_against, same_part
from cfgaudit.machine.model import Machine


class KeptBefore(NamedTuple):
    """A file of a recording, and the newest record of the same kind that was made of it."""

    raw: RawFile
    record: Record


def kept_before(record: Record, evidence: Evidence) -> tuple[KeptBefore, ...]:
    """Those of a record's files of which another one of its kind was made before."""
    found: list[KeptBefore] = []
    for raw in record.raw:
        digests = ((one, {other.sha256 for other in one.raw}) for one in evidence.of(record.kind))
        found += [KeptBefore(raw, one) for one, known in digests if raw.sha256 in known][:1]
    return tuple(found)


def kept_of_another(record: Record, evidence: Evidence, machine: Machine) -> KeptBefore | None:
    """The first of them that stands in a record of another part, where one of the two must be wrong.

    A part that is gone is called otherwise now. A table may hold the runs of several heaters or probes, each
    in columns of its own: then their results differ. But in one run one axis is shaken, whatever its columns.
    """
    today = held_against(evidence, machine)
    for raw in record.raw:
        for one in evidence.of(record.kind):
            if raw.sha256 not in {other.sha256 for other in one.raw} or same_part(one.part, record.part):
                continue
            now = today.name(one)
            if now is not None and not same_part(now, record.part) and _of_one_column(record, one):
                return KeptBefore(raw, one)
    return None


def _of_one_column(record: Record, other: Record) -> bool:
    """Whether two records of one file can tell of one thing only."""
    if record.kind is MeasurementKind.RESONANCE:
        return True
    return all(record.result(name) == other.result(name) for name in needed_results(record.kind))
