"""One change as lines: its values, what it means, what it comes to, what it caused, and where it is from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import unified_diff

from cfgaudit.checks.finding import Finding, Severity
from cfgaudit.history.change import Change, ChangeKind, Side
from cfgaudit.report.change_story import Told
from cfgaudit.report.change_words import (
    commit_text,
    meaning_text,
    place_text,
    relative_text,
    title_text,
    values_text,
)
from cfgaudit.report.lines import Line, Piece, breadth, counted, cut, line, one_line, visible, wrapped

INDENT = 11
"""Columns before what is told of a change: two, the longest severity, two."""
MEMBERS = 6
"""Settings of a whole section that are listed."""
BODY = 10
"""Lines of a longer value's difference that are shown."""
COMMITS = 3
"""Commits of one change that are named; of more the last."""
LONG = 60
"""Columns. A longer value is shown as the lines that differ."""
GAP = 2


def change_lines(told: Told, width: int) -> Iterator[Line]:
    """A change with all that is told of it."""
    change = told.change
    origin = origin_text(change)
    below = list(_body(told, width))
    yield from _closed(list(_title(change, values_of(change), width)), below, origin, width)


def bare_lines(changes: Sequence[Change], width: int) -> Iterator[Line]:
    """Settings of one section that came, or that went, in one paragraph: nothing more can be told of them."""
    first = changes[0]
    word = "new" if first.kind is ChangeKind.ADDED else "gone"
    sides = [side for one in changes if (side := one.after or one.before) is not None]
    names = [one_line(f"{one.setting} = {one.value}") for side in sides for one in side.settings]
    title = first._replace(setting="")
    yield from _closed(
        list(_title(title, f"{word}: {'; '.join(names)}", width)), [], origin_text(first), width
    )


def is_bare(told: Told) -> bool:
    """Whether nothing more can be told than that a setting came or went."""
    one = told.change
    came_or_went = one.kind in (ChangeKind.ADDED, ChangeKind.REMOVED) and bool(one.setting)
    return came_or_went and not (one.why or told.clauses or told.elsewhere or told.findings or is_long(one))


def _closed(title: list[Line], below: list[Line], origin: str, width: int) -> Iterator[Line]:
    """A title and what stands below it; the origin at the end of the title's last line where it has room."""
    used = sum(breadth(piece.text) for piece in title[-1])
    if used + GAP + breadth(origin) <= width:
        space = " " * (width - used - breadth(origin))
        yield from title[:-1]
        yield (*title[-1], Piece(space), Piece(origin, "faint")) if origin else title[-1]
        yield from below
        return
    yield from title
    yield from below
    yield from wrapped(origin, width, INDENT + 2, "faint", first=" " * INDENT)


def _title(change: Change, values: str, width: int) -> Iterator[Line]:
    """``danger   [section] setting  before → after``, the values below where they have no room."""
    label = f"{change.severity.value:<{INDENT - 4}}"
    opening = line("  ", Piece(label, change.severity.value), "  ")
    title = title_text(change)
    if INDENT + breadth(title) + GAP + breadth(values) <= width:
        yield (*opening, Piece(title, "strong"), Piece(f"{' ' * GAP}{values}"))
        return
    yield from wrapped(title, width, INDENT, "strong", first=opening)
    yield from wrapped(values, width, INDENT)


def values_of(change: Change) -> str:
    """Both values and how far apart they are; a word where they are long."""
    if is_long(change):
        return "new" if change.before is None else "gone" if change.after is None else "changed"
    relative = relative_text(change)
    return f"{values_text(change)} ({relative})" if relative else values_text(change)


def _body(told: Told, width: int) -> Iterator[Line]:
    change = told.change
    if is_long(change):
        yield from _difference(change, width)
    meaning = meaning_text(change)
    if meaning and not (change.severity is Severity.NOTE and told.clauses):
        yield from wrapped(meaning, width, INDENT)
    if not change.setting and change.kind in (ChangeKind.ADDED, ChangeKind.REMOVED):
        yield from _members(change, width)
    for clause in told.clauses:
        yield from wrapped(one_line(clause), width, INDENT + 2, first=" " * INDENT + "→ ")
    for finding in told.findings:
        yield from finding_lines(finding, width, INDENT, beside=change)
    if told.elsewhere:
        yield from wrapped(f"More under {' and '.join(told.elsewhere)}.", width, INDENT)


def is_long(change: Change) -> bool:
    """Whether a value has no room in a line."""
    if change.kind in (ChangeKind.RENAMED, ChangeKind.MOVED) or not change.setting:
        return False
    values = (side.value.strip() for side in (change.before, change.after) if side is not None)
    return any("\n" in one or breadth(one) > LONG for one in values)


def _difference(change: Change, width: int) -> Iterator[Line]:
    shown = list(differing_lines(change))
    for one in shown[:BODY]:
        yield line(" " * INDENT, cut(visible(one), width - INDENT))
    if (more := len(shown) - BODY) > 0:
        yield from wrapped(f"and {counted(more, 'more line')}", width, INDENT)


def differing_lines(change: Change) -> Iterator[str]:
    """The lines of a longer value that came (``+ G1 X20``) and went (``- G1 X10``)."""
    old, new = _value_lines(change.before), _value_lines(change.after)
    for one in list(unified_diff(old, new, n=0, lineterm=""))[2:]:
        if not one.startswith("@@"):
            yield f"{one[0]} {one[1:]}"


def _value_lines(side: Side | None) -> list[str]:
    return [one.strip() for one in side.value.splitlines() if one.strip()] if side is not None else []


def _members(change: Change, width: int) -> Iterator[Line]:
    """The settings of a section that came or went."""
    members = list(member_texts(change))
    for one in members[:MEMBERS]:
        yield line(" " * INDENT, cut(one, width - INDENT))
    if (more := len(members) - MEMBERS) > 0:
        yield from wrapped(f"and {counted(more, 'more setting')}", width, INDENT)


def member_texts(change: Change) -> Iterator[str]:
    """``key = value`` for each setting of a section; of a longer value how many lines it has."""
    side = change.after or change.before
    for one in side.settings if side is not None else ():
        count = sum(bool(part.strip()) for part in one.value.splitlines())
        yield one_line(f"{one.setting}: {count} lines" if count > 1 else f"{one.setting} = {one.value}")


def finding_lines(finding: Finding, width: int, indent: int, beside: Change | None = None) -> Iterator[Line]:
    """``error rule-name: message (file:line)``, the place only where it is not that of the change."""
    place = f"{finding.where.file}:{finding.where.line}"
    shown = "" if beside is not None and place_text(beside) == place else f" ({place})"
    severity = Piece(finding.severity.value, finding.severity.value)
    first = line(" " * indent, severity, f" {visible(finding.rule)}: ")
    yield from wrapped(one_line(f"{finding.message}{shown}"), width, indent + 2, first=first)


def origin_text(change: Change) -> str:
    """Where it stands, who wrote it, and in which commits."""
    told = [place_text(change)] if place_text(change) else []
    if change.author == "machine":
        told.append("written by the machine")
    if len(change.commits) > COMMITS:
        told.append(f"{len(change.commits)} commits, last {commit_text(change.commits[-1])}")
    else:
        told += map(commit_text, change.commits)
    if change.uncommitted and change.commits:
        told.append("and not committed yet")
    return visible("; ".join(told))
