"""Evidence as text and JSON: what was measured, newest first, and whether it still holds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from cfgaudit.evidence.records.again import KeptBefore
from cfgaudit.evidence.records.quantities import known_quantity
from cfgaudit.evidence.records.record import (
    HOURS,
    Evidence,
    MeasurementKind,
    Outdated,
    Record,
    Result,
    Staleness,
)
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, counted, line, one_line, visible, wrapped
from cfgaudit.report.result_words import given_text, result_text

INDENT = "    "
EMPTY = "Nothing was measured yet: cfgaudit measure --help lists what can be."
NO_RECORD = "No record is written (--dry-run)."


class SinceThen(NamedTuple):
    """What is otherwise than when something was measured."""

    stale: tuple[str, ...] = ()
    """Why the record holds no longer."""
    outdated: tuple[str, ...] = ()
    """What is chosen anew, though the record holds."""
    results: tuple[str, ...] = ()
    """The results that are about that."""


Since = Mapping[str, SinceThen]
"""By the record's file."""
NOTHING_SINCE = SinceThen()


def since_then(stale: Iterable[Staleness], outdated: Iterable[Outdated]) -> Since:
    """What is otherwise now, by record."""
    found = {one.record.file: SinceThen(one.reasons) for one in stale}
    for one in outdated:
        before = found.get(one.record.file, NOTHING_SINCE)
        found[one.record.file] = before._replace(outdated=one.reasons, results=one.results)
    return found


def evidence_lines(evidence: Evidence, since: Since, width: int) -> Iterator[Line]:
    """A paragraph a record; stale ones say why; files that are no records stand at the end."""
    if not evidence.records and not evidence.broken:
        yield from wrapped(EMPTY + _others(evidence), width, 0)
        return
    for record in evidence.records:
        yield from _record_lines(record, since.get(record.file, NOTHING_SINCE), width)
    for broken in evidence.broken:
        told = f"{broken.file}:{broken.line} is no record: {broken.why}"
        yield from wrapped(one_line(told), width, INDENT, first=line(Piece("broken", "warning"), "  "))
        yield BLANK
    yield from wrapped(_summary(evidence, sum(bool(one.stale) for one in since.values())), width, 0)


def _summary(evidence: Evidence, stale: int) -> str:
    told = counted(len(evidence.records), "record")
    if stale:
        told += f", {stale} of them stale"
    if evidence.broken:
        told += f", and {counted(len(evidence.broken), 'file that is none', 'files that are none')}"
    return f"{told}.{_others(evidence)}"


def _others(evidence: Evidence) -> str:
    """Which records are left out, if there are any."""
    mains = ", ".join(dict.fromkeys(one_line(one.main) for one in evidence.others))
    return f" Left out: {counted(len(evidence.others), 'record')} of {mains}." if mains else ""


def _record_lines(record: Record, since: SinceThen, width: int) -> Iterator[Line]:
    first = line(record.date.date().isoformat(), "  ")
    yield from wrapped(one_line(record.title), width, INDENT, "strong", first)
    if record.results:
        texts = (result_of(record, one) for one in record.results)
        yield from wrapped(one_line("; ".join(texts)), width, INDENT)
    if record.affects:
        yield from wrapped(one_line(f"concerns {', '.join(record.affects)}"), width, INDENT)
    yield from _marked("doubtful", record.doubts, width)
    yield from _marked("stale", since.stale, width)
    if since.outdated and not since.stale:
        yield from _marked("anew", [_of_then(since)], width)
    yield from wrapped(visible(record.file), width, INDENT, "faint")
    yield BLANK


def _marked(word: str, reasons: Iterable[str], width: int) -> Iterator[Line]:
    for reason in reasons:
        first = line(INDENT, Piece(word, "warning"), "  ")
        yield from wrapped(one_line(reason), width, INDENT + " " * (len(word) + 2), first=first)


def _of_then(since: SinceThen) -> str:
    """``[shaper x] frequency was 61 Hz and is 77 Hz now; remaining vibration is of then``."""
    names = listed(since.results)
    told = f"{names} {'is' if len(since.results) == 1 else 'are'} of then" if names else ""
    return "; ".join(filter(None, (*since.outdated, told)))


def result_of(record: Record, result: Result) -> str:
    """A result, without its name where that says nothing more than the record's title."""
    own = {MeasurementKind.VALUE: record.part, MeasurementKind.HOURS: HOURS}.get(record.kind)
    return (
        given_text(result)
        if result.name == own
        else result_text(result, known_quantity(record.kind, result.name))
    )


def kept_lines(told: str, kept: Path | None, width: int) -> Iterator[Line]:
    """What was recorded, and where it stands."""
    yield from wrapped(one_line(told), width, 0)
    yield from wrapped(NO_RECORD if kept is None else one_line(f"{kept} is written."), width, 0, "faint")


def kept_before_lines(found: Iterable[KeptBefore], width: int) -> Iterator[Line]:
    """``x.csv was kept before, in evidence/2026-11-10-resonance-axis-x.toml: it counts once.``"""
    by_record: dict[str, list[str]] = {}
    for one in found:
        by_record.setdefault(one.record.file, []).append(one.raw.name)
    for file, names in by_record.items():
        told, count = ("was", "it counts") if len(names) == 1 else ("were", "they count")
        yield from wrapped(
            one_line(f"{listed(names)} {told} kept before, in {file}: {count} once."), width, 0
        )


def value_told(result: Result, before: Record | None) -> str:
    """``print-time: 61.6 min (mean of 3, standard deviation 0.45 min)``.

    ``before`` is the record that said which way is better, where this one does not say it itself.
    """
    told = f"{result.name}: {given_text(result)}"
    if before is None:
        return told
    return f"{told}; {result.better} is better, as on {before.date.date().isoformat()}"


def declared(record: Record, parts: Sequence[str]) -> str:
    """``New rails on X: what was measured of axis x and belts before now no longer holds.``"""
    return f"{record.part}: what was measured of {listed(parts)} before now no longer holds."


def listed(names: Sequence[str]) -> str:
    """``one, two and three``."""
    return " and ".join(one for one in (", ".join(names[:-1]), *names[-1:]) if one)


def evidence_form(main: str, evidence: Evidence, since: Since) -> Json:
    """The report of ``evidence``; ``others`` are files of other machines' records."""
    return {
        "main": main,
        "records": [record_form(one, since) for one in evidence.records],
        "broken": [one._asdict() for one in evidence.broken],
        "others": [one.file for one in evidence.others],
    }


def record_form(record: Record, since: Since) -> Mapping[str, Any]:
    """One record with why it is stale, if it is, and what was chosen anew since."""
    then = since.get(record.file, NOTHING_SINCE)
    return {**_record(record), "stale": list(then.stale), "anew": list(then.outdated)}


def kept_form(record: Record, kept: Path | None) -> Json:
    """What was recorded; ``record`` is where it stands, or null."""
    told = _record(record)
    del told["file"]
    return {"record": None if kept is None else str(kept), **told}


def _record(record: Record) -> dict[str, Any]:
    told = record._asdict()
    del told["line"], told["unread"]
    return {
        **told,
        "kind": str(record.kind),
        "date": record.date.isoformat(),
        "results": [one._asdict() for one in record.results],
        "depends": [one._asdict() for one in record.depends],
        "raw": [one._asdict() for one in record.raw],
        "chosen": [one._asdict() for one in record.chosen],
    }
