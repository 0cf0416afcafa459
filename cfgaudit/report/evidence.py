"""Evidence as text and JSON: what was measured, newest first, and whether it still holds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from cfgaudit.evidence.records.record import HOURS, Evidence, MeasurementKind, Record, Result, Staleness
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, counted, line, one_line, visible, wrapped

INDENT = "    "
LABELS = 14
"""Columns of what stands before the values of one record."""
EMPTY = "Nothing was measured yet: cfgaudit measure --help lists what can be."
NO_RECORD = "No record is written (--dry-run)."


def evidence_lines(evidence: Evidence, stale: Iterable[Staleness], width: int) -> Iterator[Line]:
    """A paragraph a record; stale ones say why; files that are no records stand at the end."""
    reasons = {one.record.file: one.reasons for one in stale}
    if not evidence.records and not evidence.broken:
        yield from wrapped(EMPTY, width, 0)
        return
    for record in evidence.records:
        yield from _record_lines(record, reasons.get(record.file, ()), width)
    for broken in evidence.broken:
        told = f"{broken.file}:{broken.line} is no record: {broken.why}"
        yield from wrapped(one_line(told), width, INDENT, first=line(Piece("broken", "warning"), "  "))
        yield BLANK
    yield from wrapped(_summary(evidence, len(reasons)), width, 0)


def _summary(evidence: Evidence, stale: int) -> str:
    told = counted(len(evidence.records), "record")
    if stale:
        told += f", {stale} of them stale"
    if evidence.broken:
        told += f", and {counted(len(evidence.broken), 'file that is none', 'files that are none')}"
    return f"{told}."


def _record_lines(record: Record, reasons: tuple[str, ...], width: int) -> Iterator[Line]:
    first = line(record.date.date().isoformat(), "  ")
    yield from wrapped(one_line(record.title), width, INDENT, "strong", first)
    if record.results:
        texts = (_told(record, one) for one in record.results)
        yield from wrapped(one_line("; ".join(texts)), width, INDENT)
    if record.affects:
        yield from wrapped(one_line(f"concerns {', '.join(record.affects)}"), width, INDENT)
    for reason in reasons:
        stale = line(INDENT, Piece("stale", "warning"), "  ")
        yield from wrapped(one_line(reason), width, INDENT + " " * 7, first=stale)
    yield from wrapped(visible(record.file), width, INDENT, "faint")
    yield BLANK


def _told(record: Record, result: Result) -> str:
    """A result, without its name where that says nothing more than the record's title."""
    own = {MeasurementKind.VALUE: record.part, MeasurementKind.HOURS: HOURS}.get(record.kind)
    return amount_text(result) if result.name == own else result_text(result)


def result_text(result: Result) -> str:
    """``natural frequency 61.3 Hz``; of several samples also their spread and number."""
    return f"{result.name} {amount_text(result)}"


def amount_text(result: Result) -> str:
    """``61.3 Hz``; of several samples also their spread and number."""
    unit = "" if result.unit in ("", "1") else f" {result.unit}"
    told = f"{result.value:.6g}{unit}"
    if result.samples > 1:
        spread = "" if result.spread is None else f", standard deviation {result.spread:.2g}{unit}"
        told += f" ({'mean of' if spread else 'of'} {result.samples}{spread})"
    return told


def record_lines(record: Record, reasons: tuple[str, ...], width: int) -> Iterator[Line]:
    """All of one record."""
    yield from wrapped(one_line(record.title), width, INDENT, "strong", line())
    for name, text in _about(record):
        if text:
            yield from wrapped(one_line(text), width, LABELS, first=f"  {name:<{LABELS - 2}}")
    yield from _block("Results", map(result_text, record.results), width)
    yield from _block("Stale because of", reasons, width)
    settings = [f"[{one.section}] {one.setting} = {one.value}" for one in record.depends]
    yield from _block("Taken with, and it holds as long as these stay so", settings, width)


def _about(record: Record) -> Iterator[tuple[str, str]]:
    declared = record.kind is MeasurementKind.HARDWARE
    yield "declared" if declared else "measured", record.date.strftime("%Y-%m-%d %H:%M %z")
    yield "with", record.instrument
    yield "conditions", record.conditions
    yield "note", record.note
    yield "concerns", ", ".join(record.affects)
    yield "replaced", "yes, counting starts again" if record.replaced else ""
    yield "at commit", (record.commit or "")[:7]
    yield "from", ", ".join(f"{one.name} (SHA-256 {one.sha256})" for one in record.raw)
    yield "file", record.file


def _block(title: str, texts: Iterable[str], width: int) -> Iterator[Line]:
    texts = list(texts)
    if texts:
        yield BLANK
        yield from wrapped(title, width, INDENT, "strong", line())
    for text in texts:
        yield from wrapped(one_line(text), width, INDENT, first="  ")


def kept_lines(told: str, kept: Path | None, width: int) -> Iterator[Line]:
    """What was recorded, and where it stands."""
    yield from wrapped(one_line(told), width, 0)
    yield from wrapped(NO_RECORD if kept is None else one_line(f"{kept} is written."), width, 0, "faint")


def value_told(result: Result) -> str:
    """``print-time: 61.6 min (mean of 3, standard deviation 0.45 min)``."""
    return f"{result.name}: {amount_text(result)}"


def declared(record: Record) -> str:
    """``New rails on X: what was measured of axis.x before now no longer holds.``"""
    return f"{record.part}: what was measured of {_listed(record.affects)} before now no longer holds."


def _listed(names: tuple[str, ...]) -> str:
    return " and ".join(one for one in (", ".join(names[:-1]), *names[-1:]) if one)


def evidence_form(main: str, evidence: Evidence, stale: Iterable[Staleness]) -> Json:
    """The report of ``evidence``."""
    reasons = {one.record.file: one.reasons for one in stale}
    return {
        "main": main,
        "records": [record_form(one, reasons.get(one.file, ())) for one in evidence.records],
        "broken": [one._asdict() for one in evidence.broken],
    }


def record_form(record: Record, reasons: tuple[str, ...]) -> Mapping[str, Any]:
    """One record with why it is stale, if it is."""
    return {**_record(record), "stale": list(reasons)}


def kept_form(record: Record, kept: Path | None) -> Json:
    """What was recorded; ``record`` is where it stands, or null."""
    told = _record(record)
    del told["file"]
    return {"record": None if kept is None else str(kept), **told}


def _record(record: Record) -> dict[str, Any]:
    told = record._asdict()
    del told["line"]
    return {
        **told,
        "kind": str(record.kind),
        "date": record.date.isoformat(),
        "results": [one._asdict() for one in record.results],
        "depends": [one._asdict() for one in record.depends],
        "raw": [one._asdict() for one in record.raw],
    }
