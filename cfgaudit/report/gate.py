"""The gate's verdict on one screen, and as JSON."""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, NamedTuple

from cfgaudit.checks.finding import Finding, Findings, Severity
from cfgaudit.history.change import Change, Review, Side
from cfgaudit.report.cautions import CAUTIONS, SHORT_CAUTIONS
from cfgaudit.report.change_words import severities_text, values_text
from cfgaudit.report.changes_json import change_form, revision_form
from cfgaudit.report.findings import findings_form
from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, breadth, counted, cut, line, one_line, visible, wrapped

if TYPE_CHECKING:
    from cfgaudit.history.gating.acceptance import Acceptance
    from cfgaudit.history.gating.gate import Verdict

SCREEN = 22
"""Lines of a terminal of 24, with its prompt."""
LABEL = 9
"""Columns before what blocks: two, and the longest severity."""
GRAVE = (Severity.DANGER, Severity.ERROR)
NOT_SAFE = "That nothing new speaks against a restart does not make it safe."
MARK_ONE = "after a good print, mark what printed it: cfgaudit mark -m 'what it printed'"


class Asked(NamedTuple):
    """What of the command line must stand in the commands that the report proposes."""

    main: str | None = None
    staged: bool = False

    def command(self, name: str, *words: str) -> str:
        """One command line that works on the same files."""
        option = [] if name in ("gate", "check") else ["--main"]
        main = [] if self.main is None else [*option, self.main]
        staged = ["--staged"] if self.staged and name != "restore" else []
        return " ".join(["cfgaudit", name, *map(shlex.quote, (*main, *staged, *words))])


def gate_form(verdict: Verdict, content: str) -> Json:
    """The report of ``gate``."""
    review = verdict.review
    return {
        "verdict": "pass" if verdict.passes else "stop",
        "main": review.main,
        "from": revision_form(review.before) if verdict.marked else None,
        "to": revision_form(review.after),
        "fail_at": verdict.fail_at.value,
        "findings": findings_form(review.main, (), Findings(verdict.findings))["findings"],
        "changes": [change_form(one) for one in verdict.changes],
        "accepted": [change_form(one) for one in verdict.accepted],
        "acceptance": [] if verdict.acceptance is None else _acceptance_form(verdict.acceptance),
        "standing": review.standing,
        "content": content,
    }


def _acceptance_form(acceptance: Acceptance) -> list[dict[str, Any]]:
    return [
        {"reason": one.reason, "author": one.author, "date": one.date and one.date.isoformat()}
        for one in acceptance.words
    ]


def gate_lines(verdict: Verdict, width: int, asked: Asked, said: str = "") -> Iterator[Line]:
    """The verdict, what it is compared with, what blocks, what to do; one screen where the width allows it.

    ``said`` is what became of an acceptance, in one sentence.
    """
    above = [*_head(verdict, width, said), BLANK]
    below = [*_foot(verdict, width, asked)]
    yield from above
    if not verdict.passes:
        room = SCREEN - len(above) - len(below) - 1
        yield from _blocking(verdict, width, room, asked)
        yield BLANK
    yield from below


def _head(verdict: Verdict, width: int, said: str) -> Iterator[Line]:
    if said:
        yield from wrapped(one_line(said), width, 0)
    word, style = ("PASS", "strong") if verdict.passes else ("STOP", "danger")
    main = visible(verdict.review.main)
    yield from wrapped(f"{main}: {_sum(verdict)}.", width, 6, "strong", line(Piece(word, style), "  "))
    yield from wrapped(cut(one_line(_compared(verdict)), 3 * (width - 6)), width, 6)
    for one in _reasons(verdict):
        yield from wrapped(cut(one_line(one), 2 * (width - 6)), width, 6)


def _sum(verdict: Verdict) -> str:
    if verdict.passes:
        least = "" if verdict.fail_at is Severity.NOTE else f" at or above {verdict.fail_at.value}"
        if not verdict.marked:
            return f"nothing is found{least}"
        changed = "no dangerous change that is not accepted" if verdict.accepted else "no dangerous change"
        return f"nothing new is found{least}, {changed}"
    found = counted(len(verdict.findings), "new finding" if verdict.marked else "finding")
    changed = counted(len(verdict.changes), "dangerous change") + " not accepted"
    return ", ".join([found] * bool(verdict.findings) + [changed] * bool(verdict.changes))


def _compared(verdict: Verdict) -> str:
    review = verdict.review
    if not verdict.marked:
        return (
            f"The {review.after.label} was compared with nothing, for no commit of this branch is marked: "
            f"every finding counts. Then, {MARK_ONE}."
        )
    mark = review.before.mark
    known = f", {_known(review)}" if review.standing else ""
    note = f" ({mark.note})" if mark and mark.note and verdict.passes else ""
    changes = counted(len(review.changes), "change")
    return f"The {review.after.label}, compared with {review.before.label}{note}: {changes}{known}."


def _known(review: Review) -> str:
    """``8 findings known then (1 danger, 3 errors)``."""
    grave = severities_text(one for one in review.stood if one in GRAVE)
    told = f"{counted(review.standing, 'finding')} known then"
    return f"{told} ({grave})" if grave else told


def _reasons(verdict: Verdict) -> Iterator[str]:
    """Who accepted what does not block, and why."""
    if verdict.accepted and verdict.acceptance is not None:
        for one in verdict.acceptance.words[-2:]:
            name = one.author.partition(" <")[0]
            when = f" on {one.date.date().isoformat()}" if one.date else ""
            yield f"{counted(len(one.changes), 'dangerous change')} accepted by {name}{when}: {one.reason}"


def _blocking(verdict: Verdict, width: int, room: int, asked: Asked) -> Iterator[Line]:
    """What blocks, the worst first, as much of it as there is room for, at least one."""
    items = _items(verdict, width)
    shown: list[Line] = []
    for count, item in enumerate(items):
        last = count == len(items) - 1
        if count and len(shown) + len(item) > room - (not last):
            more = asked.command("changes" if verdict.marked else "check")
            yield from shown
            yield from wrapped(one_line(f"and {len(items) - count} more: {more}"), width, 2)
            return
        shown += item
    yield from shown


def _items(verdict: Verdict, width: int) -> list[list[Line]]:
    """Two lines for each; what was found stands before what was changed of the same severity."""
    ranked = [(one.severity.rank, _finding_item(one, width)) for one in verdict.findings]
    ranked += [(one.severity.rank, _change_item(one, width)) for one in verdict.changes]
    return [item for _, item in sorted(ranked, key=lambda one: one[0])]


def _finding_item(finding: Finding, width: int) -> list[Line]:
    where = f"{finding.where.file}:{finding.where.line}"
    return _item(finding.severity, f"{where}  {finding.rule}", finding.message, width)


def _change_item(change: Change, width: int) -> list[Line]:
    where = f"{_side(change).where.file}:{_side(change).where.line}"
    if change.after is None:
        where = f"was at {where}"
    why = f"{where}  {change.why}" if change.why else where
    return _item(change.severity, f"{change.address}: {values_text(change)}", why, width)


def _item(severity: Severity, first: str, second: str, width: int) -> list[Line]:
    label = Piece(f"{severity.value:<{LABEL - 2}}", severity.value)
    room = width - LABEL - 1
    return [
        line("  ", label, " ", Piece(cut(one_line(first), room), "strong")),
        line(" " * (LABEL + 1), cut(one_line(second), room)),
    ]


def _side(change: Change) -> Side:
    side = change.after or change.before
    assert side is not None
    return side


def _foot(verdict: Verdict, width: int, asked: Asked) -> Iterator[Line]:
    """What to do, and what no verdict says."""
    for what, command in _next_steps(verdict, asked):
        yield from _step(one_line(what), one_line(command), width)
    words = f"{NOT_SAFE} {CAUTIONS}" if verdict.passes else SHORT_CAUTIONS
    yield from wrapped(words, width, 0)


def _next_steps(verdict: Verdict, asked: Asked) -> Iterator[tuple[str, str]]:
    """What can be done, and the command that does it."""
    if verdict.findings:
        yield "Mend what was found, or allow it in its place with a reason.", ""
    if verdict.changes:
        yield "Put a change back:", asked.command("restore", verdict.changes[0].address)
        yield "Or accept the changes of exactly this content:", asked.command("gate", "--accept", "why")


def _step(what: str, command: str, width: int) -> Iterator[Line]:
    """A command stays in one line if it can."""
    shown = f"→ {what} {command}".rstrip()
    if breadth(shown) <= width:
        yield line(shown)
        return
    yield from wrapped(what, width, 2, first="→ ")
    yield from wrapped(command, width, 2)
