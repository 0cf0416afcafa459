"""Which changes may be to blame for a symptom. Entry point: `rank`."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from cfgaudit.checks.rule import fill_template
from cfgaudit.history.blame.cause_matches import Match, matches
from cfgaudit.history.blame.symptoms import Cause, Symptom
from cfgaudit.history.change import Change

WITHOUT_EFFECT = 0.02
"""What is left of the score of a change that another file overrules."""
OF_ANOTHER_AXIS = 0.2
"""What is left of it where the symptom is said to be on an axis, and the change is on another."""
WORDS = ((0.6, "strong"), (0.35, "likely"), (0.15, "possible"), (0.0, "faint"))
"""From which score on a suspect is called so."""
LONGEST = 80
"""Characters of a value in a reason."""
LONGEST_FINDING = 200


class Suspect(NamedTuple):
    """A change that may explain the symptom. ``score`` is from 0 to 1, ``reason`` one line."""

    change: Change
    score: float
    reason: str
    cause: Cause

    @property
    def word(self) -> str:
        return next(word for least, word in WORDS if self.score >= least)


def rank(changes: Iterable[Change], symptom: Symptom, *, axis: str | None = None) -> tuple[Suspect, ...]:
    """The changes that a cause of the symptom matches, the likeliest first.

    Of several causes the one that scores best counts: its weight times how big the change is. ``axis`` is a
    letter, if the symptom is known to be on that axis: changes of other axes then rank lower.
    """
    causes = symptom.causes_on(axis)
    found = [one for change in changes if (one := suspect(change, causes, axis)) is not None]
    return tuple(sorted(found, key=lambda one: (-one.score, one.change.severity.rank, one.change.address)))


def suspect(change: Change, causes: Sequence[Cause], axis: str | None = None) -> Suspect | None:
    """One change as a suspect; None if no cause matches it."""
    scored = [_scored(change, match, axis) for match in _all_matches(change, causes)]
    return max(scored, key=lambda one: one.score, default=None)


def _all_matches(change: Change, causes: Sequence[Cause]) -> Iterator[Match]:
    for cause in causes:
        yield from matches(change, cause)


def _scored(change: Change, match: Match, axis: str | None) -> Suspect:
    score = match.cause.weight * match.strength
    elsewhere = axis is not None and match.axis not in (None, axis)
    score *= OF_ANOTHER_AXIS if elsewhere else 1.0
    reason = _reason(change, match)
    if not change.effective:
        score *= WITHOUT_EFFECT
        reason = "has no effect: another place that says the same setting has the last word"
    return Suspect(change, round(score, 3), reason, match.cause)


def _reason(change: Change, match: Match) -> str:
    values = {
        "part": change.section,
        "axis": f"axis {match.axis}" if match.axis else "every axis",
        "before": match.before,
        "after": match.after,
        "relative": match.relative,
        "fact": match.fact,
    }
    shown = {name: _cut(text, LONGEST) for name, text in values.items()}
    filled = fill_template(match.cause.reason, {**shown, "finding": _cut(match.finding, LONGEST_FINDING)})
    return " ".join(filled.split())


def _cut(text: str, longest: int) -> str:
    text = " ".join(text.split())
    return text if len(text) <= longest else text[: longest - 1].rstrip() + "…"
