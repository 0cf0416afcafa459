"""What speaks against a comparison: records that are stale or doubtful, many tests, single measurements."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.evidence.comparing.quantity import Measured, Quantity
from cfgaudit.evidence.statistics import CONFIDENCE
from cfgaudit.history.upgrade import Upgrade
from cfgaudit.report.change_words import revision_text
from cfgaudit.report.lines import counted, one_line

TESTS_AT_LEAST = 5
"""From so many tests on it is said that chance alone may show a difference."""
REASONS = 3
"""Reasons why a record is stale that are told; evidence show tells all."""


def stale_texts(quantity: Quantity, upgrade: Upgrade) -> Iterator[str]:
    """For each side that does not hold for its state: of when it is, and why it does not."""
    for word, side, revision in (
        ("before", quantity.before, upgrade.before),
        ("after", quantity.after, upgrade.after),
    ):
        reasons = _reasons(side, quantity.name, upgrade)
        if side is not None and reasons:
            state = revision_text(revision._replace(mark=None, date=None))
            told = "; ".join(reasons[:REASONS])
            if len(reasons) > REASONS:
                told += f"; and {counted(len(reasons) - REASONS, 'more reason')}"
            yield f"stale {word}: {taken_text(side)}, no measurement of {state}: {told}"


def doubted_texts(quantity: Quantity) -> Iterator[str]:
    """For each side whose record says so: what speaks against it."""
    for word, side in (("before", quantity.before), ("after", quantity.after)):
        if side is not None and (doubts := _doubts(side)):
            yield f"doubtful {word}: {taken_text(side)}: {'; '.join(doubts[:REASONS])}"


def reserve(quantity: Quantity, upgrade: Upgrade) -> str:
    """`` (stale)``, `` (doubtful)``, both, or nothing: what is behind every verdict of it."""
    words = []
    if is_stale(quantity, upgrade):
        words.append("stale")
    if _doubts(quantity.before) or _doubts(quantity.after):
        words.append("doubtful")
    return f" ({', '.join(words)})" if words else ""


def is_stale(quantity: Quantity, upgrade: Upgrade) -> bool:
    """Whether a side does not hold for the state that it stands for."""
    return any(_reasons(side, quantity.name, upgrade) for side in (quantity.before, quantity.after))


def _reasons(side: Measured | None, name: str, upgrade: Upgrade) -> list[str]:
    found = [one for record in (side.records if side else ()) for one in upgrade.reasons(record.file, name)]
    return [one_line(reason) for reason in dict.fromkeys(found)]


def _doubts(side: Measured | None) -> list[str]:
    found = [one for record in (side.records if side else ()) for one in record.doubts]
    return [one_line(doubt) for doubt in dict.fromkeys(found)]


def taken_text(side: Measured) -> str:
    """``measured on 2026-11-10 at commit 1a2b3c4``."""
    newest = side.records[0]
    told = f"measured on {newest.date.date().isoformat()}"
    return f"{told} at commit {newest.commit[:7]}" if newest.commit else told


def doubts(upgrade: Upgrade) -> Iterator[str]:
    """What a reader should know before believing it."""
    tests = sum(one.test is not None for one in upgrade.quantities)
    if tests >= TESTS_AT_LEAST:
        false = round(tests * (1.0 - CONFIDENCE))
        told = "one may be a false alarm"
        if false:
            told = f"expect about {'one false alarm' if false == 1 else f'{false} false alarms'}"
        yield f"{tests} tests at {100.0 * CONFIDENCE:.0f} %: {told}."
    if single := sum(one.is_single for one in upgrade.quantities):
        told = counted(single, "quantity was", "quantities were")
        yield f"{told} measured once on a side: only several measurements tell a difference from chance."
    if upgrade.broken:
        files = counted(upgrade.broken, "file")
        yield f"{files} among the evidence cannot be read as records: cfgaudit evidence tells why."
