"""What changed between two states of the files, as Markdown for a pull request.

Everything that a configuration's author wrote goes into code spans or is escaped, so that no value can become
a link, an image, HTML or a table of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from difflib import unified_diff

from cfgaudit.checks.finding import Finding
from cfgaudit.history.change import Change, ChangeKind, Review, Side
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.change_story import Told, tell
from cfgaudit.report.change_words import (
    commit_text,
    has_danger,
    relative_text,
    revision_text,
    summary,
)
from cfgaudit.report.findings import sentence
from cfgaudit.report.lines import cut, one_line, visible

SPECIAL = re.compile(r"([\\`*_{}\[\]<>()#+\-.!|~&:@])")
TICKS = re.compile(r"`+")
VALUE = 120
"""Columns of a value at most."""
BODY = 40
"""Lines of a macro's difference at most."""


def changes_markdown(review: Review) -> str:
    """The report of ``changes``: a heading a concern, an item a change, what it comes to below it."""
    return "\n".join(_lines(review)) + "\n"


def _lines(review: Review) -> Iterator[str]:
    span = f"from {escaped(revision_text(review.before))} to {escaped(revision_text(review.after))}"
    if not (review.changes or review.new or review.gone):
        yield f"Nothing changed {span}."
        return
    yield f"**{escaped(summary(review))}**"
    yield ""
    yield f"{code(review.main)} {span}."
    story = tell(review.changes, review.new)
    for concern, told in story.concerns.items():
        yield from _heading(concern.capitalize())
        for one in told:
            yield from _change(one)
    yield from _short("The machine wrote itself", story.machine)
    yield from _short("Without effect", story.without_effect)
    yield from _findings(
        "Findings that are new" + " besides" * (story.findings != review.new), story.findings
    )
    yield from _findings("Findings that are gone", review.gone)
    if has_danger(review):
        yield ""
        yield f"> {escaped(CAUTIONS)}"


def _heading(text: str) -> Iterator[str]:
    yield ""
    yield f"### {text}"
    yield ""


def _change(told: Told) -> Iterator[str]:
    change = told.change
    yield f"- **{change.severity.value}** {_title(change)}: {_values(change)}"
    if change.why and change.kind not in (ChangeKind.RENAMED, ChangeKind.MOVED):
        yield f"  <br>{escaped(sentence(change.why))}"
    yield from _difference(change)
    if not change.setting and change.kind in (ChangeKind.ADDED, ChangeKind.REMOVED):
        yield from _members(change)
    for clause in told.clauses:
        yield f"  - {escaped(sentence(clause))}"
    for finding in told.findings:
        yield f"  - {_finding(finding)}"
    if told.shared:
        yield f"  - See also {', '.join(code(one) for one in told.shared)}."
    origin = list(_origin(change))
    if origin:
        yield f"  - {'; '.join(origin)}"


def _title(change: Change) -> str:
    return code(f"[{change.section}] {change.setting}".rstrip())


def _values(change: Change) -> str:
    if change.kind in (ChangeKind.RENAMED, ChangeKind.MOVED):
        return f"{change.kind}, {escaped(one_line(change.why))}".rstrip(", ")
    if not change.setting:
        return escaped("new" if change.before is None else "gone" if change.after is None else change.kind)
    if _is_long(change):
        return "new" if change.before is None else "gone" if change.after is None else "changed"
    if change.before is None:
        return f"new, {_value(change.after)}"
    if change.after is None:
        return f"gone, was {_value(change.before)}"
    relative = relative_text(change)
    told = f"{_value(change.before)} → {_value(change.after)}"
    return f"{told} ({escaped(relative)})" if relative else told


def _value(side: Side | None) -> str:
    return code(cut(one_line(side.value), VALUE)) if side is not None and side.value else "empty"


def _is_long(change: Change) -> bool:
    sides = (change.before, change.after)
    return bool(change.setting) and any("\n" in one.value.strip() for one in sides if one is not None)


def _difference(change: Change) -> Iterator[str]:
    """The lines of a longer value that differ, as a fenced block."""
    if not _is_long(change) or change.kind in (ChangeKind.RENAMED, ChangeKind.MOVED):
        return
    old, new = _value_lines(change.before), _value_lines(change.after)
    lines = [one for one in list(unified_diff(old, new, n=0, lineterm=""))[2:] if not one.startswith("@@")]
    yield from _fenced(
        "diff", [*lines[:BODY], *([f"… {len(lines) - BODY} more"] if len(lines) > BODY else [])]
    )


def _value_lines(side: Side | None) -> list[str]:
    return [one.strip() for one in side.value.splitlines() if one.strip()] if side is not None else []


def _members(change: Change) -> Iterator[str]:
    side = change.after or change.before
    settings = side.settings if side is not None else ()
    yield from _fenced("", [f"{one.setting} = {cut(one_line(one.value), VALUE)}" for one in settings])


def _fenced(language: str, lines: Sequence[str]) -> Iterator[str]:
    """A block of code within an item, fenced by more backticks than it holds."""
    longest = max((len(run) for one in lines for run in TICKS.findall(one)), default=0)
    fence = "`" * max(3, longest + 1)
    yield ""
    yield f"  {fence}{language}"
    yield from (f"  {visible(one)}" for one in lines)
    yield f"  {fence}"
    yield ""


def _finding(finding: Finding) -> str:
    where = code(f"{finding.where.file}:{finding.where.line}")
    return (
        f"**{finding.severity.value}** {code(finding.rule)}: {escaped(one_line(finding.message))} ({where})"
    )


def _origin(change: Change) -> Iterator[str]:
    side = change.after or change.before
    if side is not None and side.where.file:
        place = code(f"{side.where.file}:{side.where.line}")
        yield place if change.after is not None else f"was at {place}"
    if change.author == "machine":
        yield "written by the machine"
    yield from (escaped(commit_text(one)) for one in change.commits)
    if change.uncommitted:
        yield "not committed yet"


def _short(heading: str, changes: Sequence[Change]) -> Iterator[str]:
    if not changes:
        return
    yield from _heading(heading)
    for one in changes:
        why = f"; {escaped(one_line(one.why))}" if one.why and one.kind is not ChangeKind.RENAMED else ""
        yield f"- {_title(one)}: {_values(one)}{why}"


def _findings(heading: str, findings: Sequence[Finding]) -> Iterator[str]:
    if not findings:
        return
    yield from _heading(heading)
    for one in sorted(findings, key=lambda one: one.severity.rank):
        yield f"- {_finding(one)}"


def code(text: str) -> str:
    """A code span around any text: delimited by more backticks than it holds."""
    shown = one_line(text) or " "
    runs = {len(run) for run in TICKS.findall(shown)}
    fence = "`" * next(count for count in range(1, len(runs) + 2) if count not in runs)
    padding = " " if shown.startswith("`") or shown.endswith("`") else ""
    return f"{fence}{padding}{shown}{padding}{fence}"


def escaped(text: str) -> str:
    """Text in which nothing means anything to Markdown or HTML."""
    return SPECIAL.sub(r"\\\1", one_line(text))
