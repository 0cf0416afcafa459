"""What a restoration would lead to, before any of it is written: is it what was asked for?"""

from __future__ import annotations

from typing import NamedTuple

from cfgaudit.audit import Audit
from cfgaudit.checks.finding import Finding
from cfgaudit.history.change import Change
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.comparing.findings_between import carried, without
from cfgaudit.history.comparing.pairing import pair_machines
from cfgaudit.history.comparing.touched import touched
from cfgaudit.history.restoring.restore import Restoration, RestoreError


class Outcome(NamedTuple):
    """What a restoration leads to."""

    remaining: tuple[Change, ...]
    """What is still otherwise than it was."""
    new: tuple[Finding, ...]
    gone: tuple[Finding, ...]


def outcome_of(
    restoration: Restoration, before: Audit, after: Audit, restored: Audit, every: tuple[Change, ...]
) -> Outcome:
    """What is left to restore and which findings come and go.

    Raises RestoreError if what was asked for is not as it was, or if anything else is not as it is.
    """
    remaining = compare_machines(before.subject, restored.subject)
    then = pair_machines(before.subject, after.subject).pairs
    now = pair_machines(before.subject, restored.subject).pairs
    asked = touched(restoration.changes, then)
    kept = touched((one for one in every if one not in restoration.changes), then)
    counts = touched((one for one in restoration.changes if one.effective), then)
    left = touched((one for one in remaining if one.effective), now) & asked
    left |= touched((one for one in remaining if not one.effective), now) & (asked - counts)
    if left - kept:
        raise RestoreError(f"{_named(left - kept)} would still not be as it was: put it back by hand")
    if came := touched(remaining, now) - kept - asked:
        raise RestoreError(f"{_named(came)} would change with it: restore both, or put it back by hand")
    known = carried(after, restored)
    return Outcome(remaining, without(restored.findings, known), without(known, restored.findings))


def _named(names: set[tuple[str, str]]) -> str:
    section, setting = min(names)
    more = f" and {len(names) - 1} more" if len(names) > 1 else ""
    return (f"{section}:{setting}" if setting else f"[{section}]") + more
