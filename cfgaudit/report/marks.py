"""The marks as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.history.change import Mark
from cfgaudit.history.mark_list import Listed, MarkList, Since
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, counted, line, one_line, visible, wrapped

INDENT = "  "
NO_MARKS = (
    "No commit is marked yet. After a good print, commit the configuration and mark it: "
    "cfgaudit mark -m 'what it printed'"
)


def marks_form(listed: MarkList) -> Json:
    """Every mark, newest first, and what changed since the last one."""
    return {
        "main": listed.main,
        "marks": [_form(one) for one in listed.marks],
        "since": listed.since and _since_form(listed.since),
    }


def _form(one: Listed) -> Json:
    return {
        "mark": one.mark.name,
        "date": one.mark.date.isoformat(),
        "commit": one.mark.commit,
        "author": one.mark.author,
        "note": one.mark.note,
        "measured": [{"name": name, "value": value} for name, value in one.mark.measured],
        "changes": one.changes,
        "since": one.since or None,
        "unreadable": one.unreadable or None,
    }


def _since_form(since: Since) -> Json:
    return {"mark": since.mark.name, "head": since.head, "working_tree": since.working_tree}


def marks_lines(listed: MarkList, width: int) -> Iterator[Line]:
    """Every mark, newest first: what it marks, what it says, and what changed since the one before."""
    if not listed.marks:
        yield from wrapped(NO_MARKS, width, 0)
        return
    for one in listed.marks:
        yield from _mark_lines(one, width)
        yield BLANK
    yield from _since_lines(listed, width)


def _mark_lines(one: Listed, width: int) -> Iterator[Line]:
    mark = one.mark
    when = f"{mark.date:%Y-%m-%d %H:%M}"
    about = f"commit {mark.commit[:7]}, marked {when} by {one_line(mark.author)}"
    yield from wrapped(about, width, INDENT, first=line(Piece(visible(mark.name), "strong"), INDENT))
    for paragraph in mark.note.split("\n"):
        if paragraph.strip():
            yield from wrapped(one_line(paragraph), width, INDENT)
    for name, value in mark.measured:
        yield from wrapped(one_line(f"{name} = {value}"), width, 2 * INDENT, first=f"{INDENT}measured: ")
    if one.unreadable:
        yield from wrapped(one_line(f"not comparable: {one.unreadable}"), width, INDENT, "warning")
    elif one.changes is not None:
        told = f"{counted(one.changes, 'change')} since {one.since}"
        yield from wrapped(one_line(told), width, INDENT, "faint")


def _since_lines(listed: MarkList, width: int) -> Iterator[Line]:
    since = listed.since
    if since is None:
        return
    counts = [
        counted(count, "change") + f" to {what}"
        for count, what in ((since.head, "the last commit"), (since.working_tree, "the working tree"))
        if count is not None
    ]
    if counts:
        told = f"Since {since.mark.name}: {', '.join(counts)}; cfgaudit changes tells them."
        yield from wrapped(one_line(told), width, 0)


def marked_lines(mark: Mark, summary: str, others: tuple[str, ...], width: int) -> Iterator[Line]:
    """What was marked just now; ``others`` are marks that the commit had before."""
    told = f"{mark.name} marks commit {mark.commit[:7]}{f', {summary}' if summary else ''}."
    if others:
        told += f" It was marked already: {', '.join(others)}."
    yield from wrapped(one_line(told), width, 0)
    yield from wrapped(f"git push origin {mark.name} carries it to other clones.", width, 0)
