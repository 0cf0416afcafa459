"""What changed between two states of the files, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from cfgaudit.checks.finding import Finding
from cfgaudit.history.change import Change, ChangeKind, Review
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.change_lines import bare_lines, change_lines, finding_lines, is_bare, values_of
from cfgaudit.report.change_story import Told, tell
from cfgaudit.report.change_words import (
    changes_summary,
    commit_text,
    findings_summary,
    has_danger,
    revision_text,
    value_text,
)
from cfgaudit.report.findings import sentence
from cfgaudit.report.lines import BLANK, Line, Piece, line, one_line, visible, wrapped


def changes_lines(review: Review, width: int) -> Iterator[Line]:
    """The report of ``changes``: by concern, each change with what it comes to and what it caused."""
    yield from _head(review, width)
    if not (review.changes or review.new or review.gone):
        return
    story = tell(review.changes, review.new)
    for concern, told in story.concerns.items():
        yield BLANK
        yield line(Piece(concern.capitalize(), "strong"))
        yield from _concern_lines(told, width)
    yield from _short_list("The machine wrote itself", story.machine, width)
    yield from _short_list("Without effect", story.without_effect, width)
    besides = "" if story.findings == review.new else ", besides those told above"
    yield from _findings(f"Findings that are new{besides}", story.findings, width)
    yield from _gone(review.gone, width)
    yield BLANK
    if has_danger(review):
        yield from wrapped(CAUTIONS, width, 0)
        yield BLANK
    yield from wrapped(f"{changes_summary(review.changes)} {findings_summary(review)}", width, 0)


def _head(review: Review, width: int) -> Iterator[Line]:
    span = f"from {revision_text(review.before)} to {revision_text(review.after)}"
    if not (review.changes or review.new or review.gone):
        yield from wrapped(visible(f"Nothing changed {span}."), width, 0)
        return
    yield from wrapped(visible(f"{review.main} {span}."), width, 0)
    told = changes_summary(review.changes)
    if any(one.uncommitted for one in review.changes):
        told += " Where no commit is named, it is not committed yet."
    yield from wrapped(told, width, 0)


def _concern_lines(told: Sequence[Told], width: int) -> Iterator[Line]:
    """One paragraph a change; bare ones of one section share theirs."""
    waiting: list[Change] = []
    for one in told:
        if waiting and not (is_bare(one) and _are_alike(waiting[0], one.change)):
            yield BLANK
            yield from bare_lines(waiting, width)
            waiting = []
        if is_bare(one):
            waiting.append(one.change)
        else:
            yield BLANK
            yield from change_lines(one, width)
    if waiting:
        yield BLANK
        yield from bare_lines(waiting, width)


def _are_alike(one: Change, other: Change) -> bool:
    """Whether two bare changes can be told in one paragraph."""
    first = (one.kind, one.severity, one.section, one.commits, one.uncommitted)
    return first == (other.kind, other.severity, other.section, other.commits, other.uncommitted)


def _short_list(heading: str, changes: Sequence[Change], width: int) -> Iterator[Line]:
    """Changes of which a line each is enough; those of a section that mean the same share one."""
    if not changes:
        return
    yield BLANK
    commits = changes[0].commits
    alike = bool(commits) and all(one.commits == commits for one in changes)
    first = line(Piece(heading, "strong"), "  " if alike else "")
    shared = commit_text(commits[-1]) if alike else ""
    yield from wrapped(shared, width, 2, "faint", first=first) if shared else (first,)
    for (section, why), group in groupby(changes, key=lambda one: (one.section, _short_why(one))):
        told = [f"{one.setting} {_short_values(one, alike)}".lstrip() for one in group]
        yield from wrapped(one_line(f"[{section}] {', '.join(told)}{why}"), width, 4, first="  ")


def _short_why(change: Change) -> str:
    renaming = change.kind in (ChangeKind.RENAMED, ChangeKind.MOVED)
    return f"; {change.why}" if change.why and not renaming else ""


def _short_values(change: Change, alike: bool) -> str:
    commits = [] if alike else [one.short for one in change.commits[-1:]]
    new = change.kind is ChangeKind.ADDED and change.setting
    values = f"= {value_text(change.after)}" if new else values_of(change)
    return ", ".join([values, *commits])


def _findings(heading: str, findings: Sequence[Finding], width: int) -> Iterator[Line]:
    if not findings:
        return
    yield BLANK
    yield from wrapped(heading, width, 0, "strong")
    for one in sorted(findings, key=lambda one: one.severity.rank):
        yield from finding_lines(one, width, 2)


def _gone(findings: Sequence[Finding], width: int) -> Iterator[Line]:
    if not findings:
        return
    yield BLANK
    yield from wrapped("Findings that are gone", width, 0, "strong")
    for one in findings:
        yield from wrapped(one_line(f"{one.rule}: {sentence(one.message)}"), width, 4, first="  ")
