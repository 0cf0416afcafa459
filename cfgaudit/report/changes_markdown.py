"""What changed between two states of the files, as Markdown for a pull request.

Everything that a configuration's author wrote goes into code spans or is escaped, so that no value can become
a link, an image, HTML or a table of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from cfgaudit.checks.finding import Finding
from cfgaudit.history.change import Change, ChangeKind, Review, Side
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.change_lines import differing_lines, is_long, member_texts, values_of
from cfgaudit.report.change_story import Told, tell
from cfgaudit.report.change_words import (
    changes_summary,
    commit_text,
    findings_summary,
    has_danger,
    meaning_text,
    relative_text,
    revision_text,
    title_text,
)
from cfgaudit.report.lines import cut, one_line, visible

SPECIAL = re.compile(r"([\\`*_\[\]<>#|~&])")
LEADING = re.compile(r"^(?:[-+=]|\d+[.)](?=\s|$))")
"""What begins a list or underlines a heading, at the beginning of a line."""
LINKED = re.compile(r"://|www\.", re.IGNORECASE)
"""What some renderers make a link of, without any mark around it."""
JOINER = "\N{WORD JOINER}"
BREAK = "\\"
"""At the end of a line: the paragraph goes on in the next one."""
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
    yield f"**{escaped(changes_summary(review.changes))}** {escaped(findings_summary(review))}"
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
    meaning = meaning_text(change)
    yield f"- **{change.severity.value}** {_title(change)}: {_values(change)}{BREAK if meaning else ''}"
    if meaning:
        yield f"  {escaped(meaning)}"
    yield from _difference(change)
    if not change.setting and change.kind in (ChangeKind.ADDED, ChangeKind.REMOVED):
        yield from _members(change)
    for clause in told.clauses:
        yield f"  - {escaped(clause)}"
    for finding in told.findings:
        yield f"  - {_finding(finding)}"
    if told.elsewhere:
        yield f"  - More under {' and '.join(map(code, told.elsewhere))}"
    origin = list(_origin(change))
    if origin:
        yield f"  - {'; '.join(origin)}"


def _title(change: Change) -> str:
    return code(title_text(change))


def _values(change: Change) -> str:
    if change.kind in (ChangeKind.RENAMED, ChangeKind.MOVED) or not change.setting or is_long(change):
        return escaped(values_of(change))
    if change.before is None:
        return f"new, {_value(change.after)}"
    if change.after is None:
        return f"gone, was {_value(change.before)}"
    relative = relative_text(change)
    told = f"{_value(change.before)} → {_value(change.after)}"
    return f"{told} ({escaped(relative)})" if relative else told


def _value(side: Side | None) -> str:
    return code(cut(one_line(side.value), VALUE)) if side is not None and side.value.strip() else "empty"


def _difference(change: Change) -> Iterator[str]:
    """The lines of a longer value that differ, as a fenced block."""
    if is_long(change):
        lines = [cut(visible(one), VALUE) for one in differing_lines(change)]
        more = len(lines) - BODY
        yield from _fenced("diff", [*lines[:BODY], *([f"… {more} more"] if more > 0 else [])])


def _members(change: Change) -> Iterator[str]:
    yield from _fenced("", [cut(one, VALUE) for one in member_texts(change)])


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
    """Text in which nothing means anything to Markdown or HTML, and which calls nobody by an at sign."""
    shown = SPECIAL.sub(r"\\\1", one_line(text))
    for pattern in (LEADING, LINKED):
        shown = pattern.sub(lambda found: f"{found[0][:-1]}\\{found[0][-1]}", shown)
    return shown.replace("@", f"@{JOINER}")
