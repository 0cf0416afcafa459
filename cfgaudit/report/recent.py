"""What changed since the last mark, a line a change, for the head of another report."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.history.change import Change, Review
from cfgaudit.report.change_words import (
    relative_text,
    revision_text,
    severities_text,
    title_text,
    values_text,
)
from cfgaudit.report.changes_json import change_form, revision_form
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, breadth, counted, cut, line, one_line, visible, wrapped

LABEL = 11
"""Columns before a change: two, the longest severity, two."""
SHOWN_AT_MOST = 20
"""Changes that are listed; of more the gravest."""


def recent_lines(recent: Review | str, width: int) -> Iterator[Line]:
    """Every change in one line, the gravest first; or the sentence that says why there is none to list."""
    if isinstance(recent, str):
        yield from wrapped(one_line(recent), width, 0)
        yield BLANK
        return
    span = f"from {revision_text(recent.before)} to {revision_text(recent.after)}"
    if not recent.changes:
        yield from wrapped(visible(f"Nothing changed {span}."), width, 0)
        yield BLANK
        return
    severities = severities_text(one.severity for one in recent.changes)
    count = counted(len(recent.changes), "change")
    yield from wrapped(visible(f"{count} ({severities}) {span}."), width, 0)
    for one in sorted(recent.changes, key=lambda one: one.severity.rank)[:SHOWN_AT_MOST]:
        yield _change_line(one, width)
    if (more := len(recent.changes) - SHOWN_AT_MOST) > 0:
        yield from wrapped(f"and {counted(more, 'more change')}: cfgaudit changes tells all.", width, 2)
    yield BLANK


def _change_line(change: Change, width: int) -> Line:
    title = title_text(change)
    relative = relative_text(change)
    values = one_line(values_text(change)) + (f" ({relative})" if relative else "")
    room = width - LABEL
    title = cut(title, room)
    left = room - breadth(title) - 2
    severity = Piece(f"{change.severity.value:<{LABEL - 4}}", change.severity.value)
    return line("  ", severity, "  ", Piece(title, "strong"), f"  {cut(values, left)}" if left > 8 else "")


def recent_form(recent: Review | str) -> Json:
    """For JSON; ``changes`` is null where nobody can tell."""
    if isinstance(recent, str):
        return {"from": None, "to": None, "changes": None, "reason": recent}
    return {
        "from": revision_form(recent.before),
        "to": revision_form(recent.after),
        "changes": [change_form(one) for one in recent.changes],
    }
