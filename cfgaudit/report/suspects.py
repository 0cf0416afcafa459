"""The suspects of a symptom, ranked, as text and JSON; and the list of symptoms."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from cfgaudit.history.blame.suspects import Suspect
from cfgaudit.history.blame.symptoms import Symptom
from cfgaudit.history.change import Change, Revision, Side
from cfgaudit.report.changes_json import revision_form
from cfgaudit.report.json_form import Json, place_form
from cfgaudit.report.lines import BLANK, Line, Piece, breadth, counted, cut, one_line, visible, wrapped

SHOWN_AT_MOST = 12
"""Suspects of the text report; JSON has all."""
VALUE = 48
"""Columns of one value at most."""
STYLES = {"strong": "error", "likely": "warning", "possible": "note", "faint": "faint"}
WORD = len("possible")
INDENT = 4


class SuspectsReport(NamedTuple):
    """What ``suspects`` found. ``others`` counts the changes that no table blames."""

    symptom: Symptom
    before: Revision
    after: Revision
    axis: str | None
    suspects: Sequence[Suspect]
    others: int


def suspects_lines(report: SuspectsReport, width: int) -> Iterator[Line]:
    """Every suspect with its weight, both values, the reason, and where it was changed by which commit."""
    about = f"{report.symptom.name}: {report.symptom.about}."
    yield from wrapped(about, width, 0, "strong")
    span = f"{_named(report.before)} to {_named(report.after)}"
    yield from wrapped(f"From {span}{f', on axis {report.axis}' if report.axis else ''}.", width, 0)
    yield BLANK
    if not report.suspects:
        yield from wrapped(_nobody(report, span), width, 0)
        return
    for rank, one in enumerate(report.suspects[:SHOWN_AT_MOST], 1):
        yield from _suspect_lines(rank, one, width)
        yield BLANK
    hidden = len(report.suspects) - SHOWN_AT_MOST
    if hidden > 0:
        yield from wrapped(f"{hidden} more, no likelier: --format json has all.", width, 0)
    yield from wrapped(_others(report), width, 0)


def _nobody(report: SuspectsReport, span: str) -> str:
    look = "look at the machine itself (belts, bearings, plugs), or name an older FROM (cfgaudit marks)"
    if not report.others:
        return f"Nothing changed from {span}, so no change is to blame: {look}."
    none = "The one change does not explain"
    if report.others > 1:
        none = f"None of the {report.others} changes explains"
    return f"{none} {report.symptom.name}, as far as these tables know: {look}."


def _others(report: SuspectsReport) -> str:
    if not report.others:
        return "Every change is a suspect."
    has = "has" if report.others == 1 else "have"
    return (
        f"{counted(report.others, 'other change')} {has} nothing to do with {report.symptom.name}, "
        "as far as these tables know."
    )


def _suspect_lines(rank: int, one: Suspect, width: int) -> Iterator[Line]:
    opening = (f"{rank:>2}  ", Piece(f"{one.word:<{WORD}}", STYLES[one.word]), f" {one.score:.2f}  ")
    first = tuple(piece if isinstance(piece, Piece) else Piece(piece) for piece in opening)
    address, values = visible(one.change.address), _values(one.change)
    used = sum(breadth(piece.text) for piece in first)
    if used + breadth(address) + 2 + breadth(values) <= width and values:
        yield (*first, Piece(address, "strong"), Piece(f"  {values}"))
    else:
        yield from wrapped(address, width, INDENT, "strong", first=first)
        if values:
            yield from wrapped(values, width, INDENT)
    yield from wrapped(one_line(one.reason), width, INDENT)
    yield from wrapped(_origin(one.change), width, INDENT, "faint")


def _values(change: Change) -> str:
    if not change.setting:
        went = "gone" if change.after is None else change.kind.value
        return f"the whole section is {'new' if change.before is None else went}"
    return f"{_value(change.before)} → {_value(change.after)}"


def _value(side: Side | None) -> str:
    return "nothing" if side is None else cut(one_line(side.value), VALUE) or "empty"


def _origin(change: Change) -> str:
    """Where it stands, and who made it when."""
    side = change.after or change.before
    gone = "was in " if change.after is None else ""
    where = f"{gone}{side.where.file}:{side.where.line}" if side is not None else "nowhere"
    by = "written by the machine, " if change.author == "machine" else ""
    if change.uncommitted:
        return visible(f"{where}, {by}not committed")
    if not change.commits:
        return visible(f"{where}{', ' + by.rstrip(', ') if by else ''}")
    last = change.commits[-1]
    return visible(f"{where}, {by}commit {last.short} of {last.date:%Y-%m-%d}: {one_line(last.summary)}")


def _named(revision: Revision) -> str:
    return visible(f"the {revision.label}" if revision.commit is None else revision.label)


def suspects_form(report: SuspectsReport) -> Json:
    """The report as JSON, all suspects included."""
    return {
        "symptom": report.symptom.name,
        "about": report.symptom.about,
        "axis": report.axis,
        "from": revision_form(report.before),
        "to": revision_form(report.after),
        "suspects": [_suspect_form(one) for one in report.suspects],
        "others": report.others,
    }


def _suspect_form(one: Suspect) -> Json:
    change = one.change
    side = change.after or change.before
    return {
        "score": one.score,
        "word": one.word,
        "reason": one.reason,
        "source": one.cause.source,
        "kind": change.kind.value,
        "concern": change.concern,
        "severity": change.severity.value,
        "section": change.section,
        "setting": change.setting,
        "role": change.role,
        "axis": change.axis,
        "before": _json_value(change, change.before),
        "after": _json_value(change, change.after),
        "where": None if side is None else place_form(side.where),
        "effective": change.effective,
        "commits": [commit.id for commit in change.commits],
        "uncommitted": change.uncommitted,
    }


def _json_value(change: Change, side: Side | None) -> str | None:
    return None if side is None or not change.setting else side.value


def symptoms_lines(symptoms: Sequence[Symptom], width: int) -> Iterator[Line]:
    """Every symptom with what the builder sees."""
    for one in symptoms:
        yield from wrapped(one.name, width, 0, "strong")
        yield from wrapped(f"{one.about}.", width, INDENT)
    yield BLANK
    yield from wrapped("cfgaudit suspects SYMPTOM ranks what changed since the last mark.", width, 0)


def symptoms_form(symptoms: Sequence[Symptom]) -> Json:
    """The same as JSON."""
    return {"symptoms": [{"symptom": one.name, "title": one.title, "about": one.about} for one in symptoms]}
