"""Evidence as text and JSON: what was measured, newest first, and whether it still holds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from cfgaudit.evidence.record import Evidence, Record, Result, Staleness
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, counted, line, one_line, visible, wrapped

INDENT = "    "
EMPTY = "Nothing was measured yet: cfgaudit measure --help lists what can be."


def evidence_lines(evidence: Evidence, stale: Iterable[Staleness], width: int) -> Iterator[Line]:
    """A paragraph a record; stale ones say why; files that are no records stand at the end."""
    reasons = {one.record.file: one.reasons for one in stale}
    if not evidence.records and not evidence.broken:
        yield from wrapped(EMPTY, width, 0)
        return
    for record in evidence.records:
        yield from _record_lines(record, reasons.get(record.file, ()), width)
    for broken in evidence.broken:
        yield from wrapped(
            one_line(f"{broken.file}:{broken.line}: no record: {broken.why}"), width, 2, first=""
        )
    if evidence.broken:
        yield BLANK
    told = counted(len(evidence.records), "record")
    yield from wrapped(
        f"{told}, {len(reasons)} of them stale." if reasons else f"{told}, none stale.", width, 0
    )


def _record_lines(record: Record, reasons: tuple[str, ...], width: int) -> Iterator[Line]:
    first = line(record.date.date().isoformat(), "  ", Piece(f"{record.kind} ", "strong"))
    yield from wrapped(one_line(record.part), width, INDENT, "strong", first)
    if record.results:
        yield from wrapped(one_line("; ".join(result_text(one) for one in record.results)), width, INDENT)
    if record.affects:
        yield from wrapped(one_line(f"affects {', '.join(record.affects)}"), width, INDENT)
    for reason in reasons:
        stale = line(INDENT, Piece("stale", "warning"), "  ")
        yield from wrapped(one_line(reason), width, INDENT + "       ", first=stale)
    yield from wrapped(visible(record.file), width, INDENT, "faint")
    yield BLANK


def result_text(result: Result) -> str:
    """``natural frequency 61.3 Hz``; of several samples also their spread and number."""
    unit = "" if result.unit in ("", "1") else f" {result.unit}"
    told = f"{result.name} {result.value:.4g}{unit}"
    if result.samples > 1 and result.spread is not None:
        told += f" (mean of {result.samples}, standard deviation {result.spread:.2g}{unit})"
    return told


def record_lines(record: Record, reasons: tuple[str, ...], width: int) -> Iterator[Line]:
    """All of one record."""
    yield from wrapped(one_line(f"{record.kind} of {record.part}"), width, 0, "strong")
    about = {
        "measured": record.date.strftime("%Y-%m-%d %H:%M"),
        "with": record.instrument,
        "conditions": record.conditions,
        "note": record.note,
        "commit": (record.commit or "")[:7],
        "from": ", ".join(one.name for one in record.raw),
        "affects": ", ".join(record.affects),
        "replaced": "yes" if record.replaced else "",
        "file": record.file,
    }
    for name, text in about.items():
        if text:
            yield from wrapped(one_line(text), width, 14, first=f"  {name:<12}")
    yield from _block("Results", [result_text(one) for one in record.results], width)
    settings = [f"[{one.section}] {one.setting} = {one.value}" for one in record.depends]
    yield from _block("Holds as long as these stay as they were", settings, width)
    yield from _block("Stale since", reasons, width)


def _block(title: str, texts: Iterable[str], width: int) -> Iterator[Line]:
    texts = list(texts)
    if texts:
        yield BLANK
        yield line(Piece(title, "strong"))
    for text in texts:
        yield from wrapped(one_line(text), width, INDENT, first="  ")


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
    return {
        **record._asdict(),
        "kind": str(record.kind),
        "date": record.date.isoformat(),
        "results": [one._asdict() for one in record.results],
        "depends": [one._asdict() for one in record.depends],
        "raw": [one._asdict() for one in record.raw],
        "stale": list(reasons),
    }
