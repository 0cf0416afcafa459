"""What is said of one change in a line: both values, how far apart they are, and where it comes from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from cfgaudit.checks.finding import Severity
from cfgaudit.checks.rule import format_amount
from cfgaudit.history.change import Change, ChangeKind, Commit, Review, Revision, Side
from cfgaudit.history.comparing.difference import short_number
from cfgaudit.report.findings import PLURALS, sentence
from cfgaudit.report.lines import counted, one_line
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.value import Number

ON_A_SCALE = (
    "temp.",
    "travel.min",
    "travel.max",
    "home.position",
    "offset",
    "angle.",
    "mesh.low",
    "mesh.high",
)
"""Roles whose zero is a matter of choice: a difference says something, a ratio nothing."""
MANY_TIMES = 3.0
"""From here on ``× 4`` says more than ``+300 %``."""


def title_text(change: Change) -> str:
    """``[section] setting``."""
    return one_line(f"[{change.section}] {change.setting}".rstrip())


def meaning_text(change: Change) -> str:
    """What a change means, as a sentence; empty where its values say it all, or what it comes to does."""
    if not change.why or change.kind in (ChangeKind.RENAMED, ChangeKind.MOVED):
        return ""
    why = one_line(change.why)
    spelled = change.part in ("", "other") and change.section and why.startswith(change.section)
    return sentence(why if spelled else why[:1].upper() + why[1:])


def values_text(change: Change) -> str:
    """``16 → 32``; ``new: 30 °C``; ``gone, was 30 °C``; what became of a section."""
    if change.kind in (ChangeKind.RENAMED, ChangeKind.MOVED):
        return one_line(f"{change.kind}, {change.why}" if change.why else change.kind)
    if not change.setting:
        return "new" if change.before is None else "gone" if change.after is None else change.kind.value
    if change.before is None:
        return f"new: {value_text(change.after)}"
    if change.after is None:
        return f"gone, was {value_text(change.before)}"
    return f"{value_text(change.before)} → {value_text(change.after)}"


def value_text(side: Side | None) -> str:
    """The value of one side on one line."""
    return "nothing" if side is None else one_line(side.value) or "empty"


def relative_text(change: Change) -> str:
    """``+30 %``, ``double``, ``half``, ``× 11``, ``+15 °C``; empty where nothing sensible can be said.

    Of two shares in per cent a third one would only confuse.
    """
    if change.relative is None or change.before is None or change.after is None:
        return ""
    if change.role is not None and change.role.startswith(ON_A_SCALE):
        return _difference(change.before.value, change.after.value)
    if change.before.value.endswith("%") and change.after.value.endswith("%"):
        return ""
    return _ratio(1 + change.relative)


def _difference(before: str, after: str) -> str:
    old, new = read_value(before), read_value(after)
    if not isinstance(old, Number) or not isinstance(new, Number) or old.unit != new.unit:
        return ""
    amount = new.amount - old.amount
    return f"{'+' if amount > 0 else '−'}{format_amount(float(f'{abs(amount):.6g}'), new.unit)}"


def _ratio(ratio: float) -> str:
    if ratio <= 0:
        return ""
    for known, word in ((2.0, "double"), (0.5, "half")):
        if abs(ratio - known) < known * 1e-6:
            return word
    if ratio >= MANY_TIMES:
        return f"× {short_number(ratio)}"
    if ratio <= 1 / MANY_TIMES:
        return f"÷ {short_number(1 / ratio)}"
    percent = 100 * abs(ratio - 1)
    told = f"{percent:.0f}" if percent >= 1 else f"{percent:.1g}"
    return f"{'+' if ratio > 1 else '−'}{told} %"


def place_text(change: Change) -> str:
    """``gantry.ini:13``; where it was, if it is gone."""
    side = change.after or change.before
    if side is None or not side.where.file:
        return ""
    where = f"{side.where.file}:{side.where.line}"
    return where if change.after is not None else f"was at {where}"


def commit_text(commit: Commit) -> str:
    """``1a2b3c4 2026-11-14 Slow the beam down``."""
    return one_line(f"{commit.short} {commit.date:%Y-%m-%d} {commit.summary}")


def revision_text(revision: Revision) -> str:
    """What a report calls a state: ``good/2026-11-10 ("a 24 h vase")``, ``the working tree``."""
    if revision.commit is None:
        return f"the {revision.label}"
    mark = revision.mark
    about = f"{revision.date:%Y-%m-%d}" if revision.date else ""
    if mark is not None:
        note = one_line(mark.note)
        named = revision.label if mark.name == revision.label else f"{revision.label}, marked {mark.name}"
        dated = "" if f"{mark.date:%Y-%m-%d}" in named else about
        more = ", ".join(filter(None, (dated, f"“{note}”" if note else "")))
        return f"{named} ({more})" if more else named
    return f"{revision.label} ({about})" if about else revision.label


def severities_text(severities: Iterable[Severity]) -> str:
    """``1 danger, 3 warnings``."""
    counts = Counter(severities)
    told = [counted(counts[one], one.value, PLURALS[one.value]) for one in Severity if counts[one]]
    return ", ".join(told)


def changes_summary(changes: Sequence[Change]) -> str:
    """``31 changes: 3 dangers, 28 notes.``"""
    if not changes:
        return "No setting changed."
    if len(changes) == 1:
        word = changes[0].severity.value
        return f"1 change, {'an' if word == 'error' else 'a'} {word}."
    return f"{len(changes)} changes: {severities_text(one.severity for one in changes)}."


def findings_summary(review: Review) -> str:
    """``20 findings are new (1 danger, 19 errors), 1 is gone, 4 stood before.``"""
    found = "No finding is new"
    if review.new:
        found = f"{counted(len(review.new), 'finding')} {'is' if len(review.new) == 1 else 'are'} new"
        found += f" ({severities_text(one.severity for one in review.new)})"
    rest = [f"{len(review.gone)} {'is' if len(review.gone) == 1 else 'are'} gone"] if review.gone else []
    rest += [f"{review.standing} stood before"] if review.standing else []
    return f"{', '.join([found, *rest])}."


def has_danger(review: Review) -> bool:
    """Whether anything that changed or that is new can burn, crash or hurt."""
    severities = [*(one.severity for one in review.changes), *(one.severity for one in review.new)]
    return Severity.DANGER in severities
