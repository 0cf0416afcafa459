"""What changed between two states of the files, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import unified_diff

from cfgaudit.checks.finding import Finding, Severity
from cfgaudit.history.change import Change, ChangeKind, Review, Side
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.change_story import Told, tell
from cfgaudit.report.change_words import (
    all_uncommitted,
    commit_text,
    has_danger,
    place_text,
    relative_text,
    revision_text,
    summary,
    values_text,
)
from cfgaudit.report.findings import sentence
from cfgaudit.report.lines import BLANK, Line, Piece, breadth, counted, cut, line, one_line, visible, wrapped

INDENT = 11
"""Columns before what is told of a change: two, the longest severity, two."""
MEMBERS = 6
"""Settings of a whole section that are listed."""
BODY = 10
"""Lines of a macro's difference that are shown."""
COMMITS = 3
"""Commits of one change that are named."""
LONG = 60
"""Columns. Two longer values stand below one another."""


def changes_lines(review: Review, width: int) -> Iterator[Line]:
    """The report of ``changes``: by concern, each change with what it comes to and what it caused."""
    yield from _head(review, width)
    if not review.changes and not review.new and not review.gone:
        return
    story = tell(review.changes, review.new)
    alike = all_uncommitted(review.changes)
    for concern, told in story.concerns.items():
        yield BLANK
        yield line(Piece(concern.capitalize(), "strong"))
        yield from _concern_lines(told, width, alike)
    yield from _plain_list("The machine wrote itself", story.machine, width)
    yield from _plain_list("Without effect", story.without_effect, width)
    yield from _findings("Findings that are new, besides those told above", story.findings, width, review)
    yield from _gone(review.gone, width)
    yield BLANK
    yield from _cautions(review, width)
    yield from wrapped(summary(review), width, 0)


def _head(review: Review, width: int) -> Iterator[Line]:
    span = f"{revision_text(review.before)} to {revision_text(review.after)}"
    if not review.changes and not review.new and not review.gone:
        yield from wrapped(visible(f"Nothing changed from {span}."), width, 0)
        return
    told = visible(f"{review.main}, from {span}.")
    if all_uncommitted(review.changes):
        told += " Nothing of it is committed yet."
    yield from wrapped(told, width, 0)


def _concern_lines(told: Sequence[Told], width: int, alike: bool) -> Iterator[Line]:
    waiting: list[Change] = []
    for one in told:
        if waiting and not (_is_bare(one) and _in_one(waiting[-1], one.change)):
            yield from _bare_lines(waiting, width, alike)
            waiting = []
        if _is_bare(one):
            waiting.append(one.change)
        else:
            yield from _change_lines(one, width, alike)
    if waiting:
        yield from _bare_lines(waiting, width, alike)


def _is_bare(told: Told) -> bool:
    """A setting that came or went, of which nothing more can be told: several of these share a line."""
    one = told.change
    came_or_went = one.kind in (ChangeKind.ADDED, ChangeKind.REMOVED) and bool(one.setting)
    return came_or_went and not (one.why or told.clauses or told.shared or told.findings or _is_long(one))


def _in_one(one: Change, other: Change) -> bool:
    """Whether two bare changes are told in one line."""
    return one[:1] + one[2:4] == other[:1] + other[2:4] and one.commits == other.commits


def _bare_lines(changes: Sequence[Change], width: int, alike: bool) -> Iterator[Line]:
    first = changes[0]
    word = "new" if first.kind is ChangeKind.ADDED else "gone"
    sides = [side for one in changes if (side := one.after or one.before) is not None]
    names = [f"{one.setting} = {one.value}" for side in sides for one in side.settings]
    yield BLANK
    yield from _titled(
        first.severity, f"[{first.section}]", f"{word}: {'; '.join(map(one_line, names))}", width
    )
    yield from _origin(first, width, alike)


def _change_lines(told: Told, width: int, alike: bool) -> Iterator[Line]:
    change = told.change
    yield BLANK
    title = f"[{change.section}] {change.setting}".rstrip()
    if _is_long(change):
        yield from _titled(change.severity, title, _long_word(change), width)
        yield from _long_values(change, width)
    else:
        relative = relative_text(change)
        values = values_text(change) + (f"  ({relative})" if relative else "")
        yield from _titled(change.severity, title, values, width)
    if change.why and change.kind not in (ChangeKind.RENAMED, ChangeKind.MOVED):
        yield from wrapped(one_line(sentence(change.why)), width, INDENT)
    if not change.setting and change.kind in (ChangeKind.ADDED, ChangeKind.REMOVED):
        yield from _members(change, width)
    for clause in told.clauses:
        yield from wrapped(one_line(sentence(clause)), width, INDENT + 2, first=" " * INDENT + "→ ")
    for finding in told.findings:
        yield from _finding_lines(finding, width, INDENT, change)
    if told.shared:
        yield from wrapped(one_line(f"See also {', '.join(map(_title, told.shared))}."), width, INDENT)
    yield from _origin(change, width, alike)


def _title(address: str) -> str:
    section, _, setting = address.partition(":")
    return f"[{section}] {setting}".rstrip()


def _titled(severity: Severity, title: str, values: str, width: int) -> Iterator[Line]:
    """``danger   [section] setting  before → after``, the values below where they have no room."""
    opening = line("  ", Piece(f"{severity.value:<{INDENT - 4}}", severity.value), "  ")
    title, values = one_line(title), one_line(values)
    if INDENT + breadth(title) + 2 + breadth(values) <= width:
        yield (*opening, Piece(title, "strong"), Piece(f"  {values}"))
        return
    yield from wrapped(title, width, INDENT, "strong", first=opening)
    yield from wrapped(values, width, INDENT)


def _is_long(change: Change) -> bool:
    sides = [one.value for one in (change.before, change.after) if one is not None and change.setting]
    return change.kind not in (ChangeKind.RENAMED, ChangeKind.MOVED) and any(
        "\n" in one.strip() or breadth(one) > LONG for one in sides
    )


def _long_word(change: Change) -> str:
    if change.before is None or change.after is None:
        return "new" if change.before is None else "gone"
    return "changed"


def _long_values(change: Change, width: int) -> Iterator[Line]:
    """What differs, line by line."""
    old, new = _value_lines(change.before), _value_lines(change.after)
    difference = list(unified_diff(old, new, n=0, lineterm=""))[2:]
    shown = [one for one in difference if not one.startswith("@@")]
    for one in shown[:BODY]:
        yield line(" " * INDENT, cut(visible(f"{one[0]} {one[1:]}"), width - INDENT))
    if len(shown) > BODY:
        yield from wrapped(f"and {counted(len(shown) - BODY, 'more line')}", width, INDENT)


def _value_lines(side: Side | None) -> list[str]:
    return [one.strip() for one in side.value.splitlines() if one.strip()] if side is not None else []


def _members(change: Change, width: int) -> Iterator[Line]:
    """The settings of a section that came or went."""
    side = change.after or change.before
    settings = side.settings if side is not None else ()
    for one in settings[:MEMBERS]:
        text = f"{one.setting} = {one_line(one.value)}"
        if "\n" in one.value.strip():
            count = len([part for part in one.value.splitlines() if part.strip()])
            text = f"{one.setting}, {counted(count, 'line')}"
        yield line(" " * INDENT, cut(visible(text), width - INDENT))
    if len(settings) > MEMBERS:
        yield from wrapped(f"and {counted(len(settings) - MEMBERS, 'more setting')}", width, INDENT)


def _finding_lines(finding: Finding, width: int, indent: int, change: Change | None = None) -> Iterator[Line]:
    where = f"{finding.where.file}:{finding.where.line}"
    place = "" if change is not None and place_text(change) == where else f" ({where})"
    severity = Piece(finding.severity.value, finding.severity.value)
    text = f"{one_line(finding.message)}{visible(place)}."
    first = line(" " * indent, severity, f" {finding.rule}: ")
    yield from wrapped(text, width, indent + 2, first=first)


def _origin(change: Change, width: int, alike: bool) -> Iterator[Line]:
    """Where it stands, who wrote it, and in which commits."""
    pieces = [place_text(change)] if place_text(change) else []
    if change.author == "machine":
        pieces.append("written by the machine")
    if len(change.commits) > COMMITS:
        pieces.append(f"{len(change.commits)} commits, the last")
    pieces += [commit_text(one) for one in change.commits[-1 if len(change.commits) > COMMITS else 0 :]]
    if change.uncommitted and not alike:
        pieces.append("not committed yet")
    if pieces:
        yield from wrapped(visible("; ".join(pieces)), width, INDENT + 2, "faint", first=" " * INDENT)


def _plain_list(heading: str, changes: Sequence[Change], width: int) -> Iterator[Line]:
    """Changes of which one line each is enough."""
    if not changes:
        return
    yield BLANK
    yield line(Piece(heading, "strong"))
    for one in changes:
        relative = relative_text(one)
        told = f"[{one.section}] {one.setting}".rstrip() + f": {values_text(one)}"
        told += f" ({relative})" if relative else ""
        told += f"; {one.why}" if one.why and one.kind is not ChangeKind.RENAMED else ""
        yield from wrapped(one_line(told), width, 4, first="  ")


def _findings(heading: str, findings: Sequence[Finding], width: int, review: Review) -> Iterator[Line]:
    if not findings:
        return
    yield BLANK
    told_all = len(findings) == len(review.new)
    yield from wrapped("Findings that are new" if told_all else heading, width, 0, "strong")
    for one in sorted(findings, key=lambda one: one.severity.rank):
        yield from _finding_lines(one, width, 2)


def _gone(findings: Sequence[Finding], width: int) -> Iterator[Line]:
    if not findings:
        return
    yield BLANK
    yield from wrapped("Findings that are gone", width, 0, "strong")
    for one in findings:
        yield from wrapped(one_line(f"{one.rule}: {sentence(one.message)}"), width, 4, first="  ")


def _cautions(review: Review, width: int) -> Iterator[Line]:
    """Under a report with a danger, whether it was changed or found."""
    if has_danger(review):
        yield from wrapped(CAUTIONS, width, 0)
        yield BLANK
