"""Findings as text and JSON."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby
from typing import Any

from cfgaudit.checks.finding import Finding, Findings, Severity
from cfgaudit.report.cautions import cautions
from cfgaudit.report.excerpt import excerpt, pointed
from cfgaudit.report.json_form import Json, place_form
from cfgaudit.report.lines import BLANK, Line, Piece, counted, line, one_line, visible, wrapped
from cfgaudit.syntax.document import Document, Entry

INDENT = "    "
RELATED_AT_MOST = 8


def findings_form(main: str, files: Iterable[str], findings: Findings, *, since: str = "") -> Json:
    """The report of ``check``. ``since`` is the revision whose findings are known, and counted apart."""
    form = {
        "main": main,
        "files": list(files),
        "findings": [_finding_form(one) for one in findings.findings],
        "skipped": [{"rule": one.rule, "reason": one.reason} for one in findings.skipped],
        "counts": dict(count_severities(findings)),
    }
    if since:
        form |= {"since": since, "new": dict(count_severities(only_new(findings)))}
    return form


def only_new(findings: Findings) -> Findings:
    """Those that are not known."""
    return findings._replace(findings=tuple(one for one in findings.findings if not one.known))


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
    main: str,
    documents: Mapping[str, Document],
    findings: Findings,
    width: int,
    *,
    skipped: bool = False,
    since: str = "",
) -> Iterator[Line]:
    """The findings file by file, each with its line and the place marked; one summary line at the end.

    Those that are known are counted only; ``since`` is the revision that had them already.
    """
    known = sum(one.known for one in findings.findings)
    findings = only_new(findings)
    for file, group in groupby(findings.findings, key=lambda one: one.where.file):
        yield from wrapped(visible(file), width, 0, "strong")
        for finding in group:
            yield from _finding_lines(finding, documents, width)
        yield BLANK
    if skipped and findings.skipped:
        yield from _skipped_lines(findings, width)
    yield from cautions(findings, width)
    told = summary(main, documents, findings, skipped, "nothing new" if since else "nothing found")
    if known:
        told += f" {counted(known, 'finding')} stood at {one_line(since)} already."
    yield from wrapped(told, width, "")


def _finding_lines(finding: Finding, documents: Mapping[str, Document], width: int) -> Iterator[Line]:
    where = finding.where
    label = Piece(finding.severity.value, finding.severity.value)
    yield BLANK
    first = line(f"  {where.line}:{where.column}  ", label, "  ")
    yield from wrapped(visible(finding.rule), width, INDENT, "faint", first)
    yield from wrapped(one_line(sentence(finding.message)), width, INDENT, "strong")
    yield from excerpt(where, documents, width, INDENT, finding.related)
    yield from _related(finding, documents, width)
    yield from wrapped(one_line(sentence(finding.advice)), width, f"{INDENT}  ", first=f"{INDENT}→ ")


def sentence(text: str) -> str:
    """A message as a sentence: it begins as written if it begins with a name, and ends with a full stop."""
    return text if text.endswith((".", "!", "?")) else f"{text}."


def _related(finding: Finding, documents: Mapping[str, Document], width: int) -> Iterator[Line]:
    """Other lines that belong to the finding, the first few of very many."""
    here = (finding.where.file, finding.where.line)
    places = {(one.file, one.line): one for one in finding.related if (one.file, one.line) != here}
    for place in list(places.values())[:RELATED_AT_MOST]:
        same = place.file == finding.where.file
        name = f"line {place.line}" if same else f"{place.file}:{place.line}"
        yield line(INDENT, pointed(place, documents, name, width - len(INDENT)))
    if (more := len(places) - RELATED_AT_MOST) > 0:
        yield line(INDENT, f"and {counted(more, 'more place')}")


def _skipped_lines(findings: Findings, width: int) -> Iterator[Line]:
    """Each reason once, with the rules that it keeps from running."""
    reasons: dict[str, list[str]] = {}
    for one in findings.skipped:
        reasons.setdefault(one.reason, []).append(one.rule)
    yield line(Piece("Rules that could not run", "strong"))
    for reason, rules in reasons.items():
        yield from wrapped(one_line(f"{', '.join(rules)}: {reason}"), width, INDENT, first="  ")
    yield BLANK


def summary(
    main: str,
    documents: Mapping[str, Document],
    findings: Findings,
    skipped: bool,
    nothing: str = "nothing found",
) -> str:
    """``heron.ini and 13 files that it includes, 440 settings: 1 danger, 2 errors. 1 rule could not …``"""
    others = len(documents) - 1
    settings = sum(isinstance(node, Entry) for one in documents.values() for node in one.nodes)
    what = visible(main) + (f" and {counted(others, 'file')} that it includes" if others else "")
    what += f", {counted(settings, 'setting')}"
    counts = [
        counted(count, severity, PLURALS[severity])
        for severity, count in count_severities(findings).items()
        if count
    ]
    told = f"{what}: {', '.join(counts) or nothing}."
    if findings.skipped and not skipped:
        told += f" {counted(len(findings.skipped), 'rule')} could not run (--skipped tells why)."
    return told


PLURALS = {"danger": "dangers", "error": "errors", "warning": "warnings", "note": "notes"}
