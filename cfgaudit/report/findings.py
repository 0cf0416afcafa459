"""Findings as text and JSON."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby
from typing import Any

from cfgaudit.checks.finding import Finding, Findings, Severity
from cfgaudit.report.cautions import cautions
from cfgaudit.report.json_form import Json, place_form
from cfgaudit.report.lines import BLANK, Line, Piece, counted, cut, line, visible, wrapped
from cfgaudit.syntax.document import Document, Place

INDENT = "    "
RULER = "│ "
MARK = "▔"


def findings_form(main: str, files: Iterable[str], findings: Findings) -> Json:
    """The report of ``check``."""
    return {
        "main": main,
        "files": list(files),
        "findings": [_finding_form(one) for one in findings.findings],
        "skipped": [{"rule": one.rule, "reason": one.reason} for one in findings.skipped],
        "counts": dict(count_severities(findings)),
    }


def _finding_form(finding: Finding) -> dict[str, Any]:
    return {
        "rule": finding.rule,
        "severity": finding.severity.value,
        "concern": finding.concern,
        "message": finding.message,
        "where": place_form(finding.where),
        "related": [place_form(place) for place in finding.related],
        "advice": finding.advice,
        "fingerprint": finding.fingerprint,
        "known": finding.known,
    }


def count_severities(findings: Findings) -> Mapping[str, int]:
    """How many findings of every severity, the worst first; zeros included."""
    counts = Counter(one.severity for one in findings.findings)
    return {severity.value: counts[severity] for severity in Severity}


def findings_lines(
    main: str, documents: Mapping[str, Document], findings: Findings, width: int, *, skipped: bool = False
) -> Iterator[Line]:
    """The findings file by file, each with its line and the place marked; one summary line at the end."""
    for file, group in groupby(findings.findings, key=lambda one: one.where.file):
        yield line(Piece(visible(file), "strong"))
        for finding in group:
            yield from _finding_lines(finding, documents, width)
        yield BLANK
    if skipped and findings.skipped:
        yield from _skipped_lines(findings, width)
    yield from cautions(findings, width)
    yield from wrapped(summary(main, documents, findings, skipped), width, "")


def _finding_lines(finding: Finding, documents: Mapping[str, Document], width: int) -> Iterator[Line]:
    where = finding.where
    label = Piece(finding.severity.value, finding.severity.value)
    yield BLANK
    yield line(f"  {where.line}:{where.column}  ", label, "  ", Piece(finding.rule, "faint"))
    yield from wrapped(visible(sentence(finding.message)), width, INDENT, "strong")
    yield from _excerpt(where, documents, width)
    for place in finding.related:
        yield from _related(place, where, documents, width)
    yield from wrapped(visible(sentence(finding.advice)), width, f"{INDENT}  ", first=f"{INDENT}→ ")


def sentence(text: str) -> str:
    """A message as a sentence: it begins as written if it begins with a name, and ends with a full stop."""
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _excerpt(place: Place, documents: Mapping[str, Document], width: int) -> Iterator[Line]:
    """The offending line with the place marked below it."""
    document = documents.get(place.file)
    if document is None or place.line > len(document.line_starts):
        return
    text = document.line_text(place.line)
    start = min(place.column - 1, len(text))
    end = min(place.end_column - 1, len(text)) if place.end_line == place.line else len(text.rstrip())
    before, marked, after = (visible(piece) for piece in (text[:start], text[start:end], text[end:]))
    room = width - len(INDENT) - len(RULER)
    if len(before) + min(len(marked), 20) > room:
        before = "…" + before[-max(0, room - min(len(marked), room) - 2) :] if room > len(marked) + 2 else "…"
    shown = cut(before + marked + after, room)
    yield line(INDENT, Piece(RULER, "faint"), shown.expandtabs(1))
    length = max(1, min(len(marked), room - len(before)))
    yield line(INDENT, Piece(RULER, "faint"), " " * len(before), Piece(MARK * length, "mark"))


def _related(place: Place, where: Place, documents: Mapping[str, Document], width: int) -> Iterator[Line]:
    document = documents.get(place.file)
    name = f"line {place.line}" if place.file == where.file else f"{place.file}:{place.line}"
    text = ""
    if document is not None and place.line <= len(document.line_starts):
        text = document.line_text(place.line).strip()
    yield line(cut(f"{INDENT}see {visible(name)}: {visible(text)}".rstrip(": "), width))


def _skipped_lines(findings: Findings, width: int) -> Iterator[Line]:
    yield line(Piece("Rules that could not run", "strong"))
    for one in findings.skipped:
        yield from wrapped(f"{one.rule}: {one.reason}", width, f"{INDENT}  ", first="  ")
    yield BLANK


def summary(main: str, documents: Mapping[str, Document], findings: Findings, skipped: bool) -> str:
    """``heron.ini and 13 files: 1 danger, 2 errors. 3 rules could not run (--skipped lists them).``"""
    others = len(documents) - 1
    what = visible(main) + (f" and {counted(others, 'file')} that it includes" if others else "")
    counts = [
        counted(count, severity, _PLURALS[severity])
        for severity, count in count_severities(findings).items()
        if count
    ]
    told = f"{what}: {', '.join(counts) or 'nothing found'}."
    if findings.skipped and not skipped:
        told += f" {counted(len(findings.skipped), 'rule')} could not run (--skipped tells why)."
    return told


_PLURALS = {"danger": "dangers", "error": "errors", "warning": "warnings", "note": "notes"}
