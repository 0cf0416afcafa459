"""The verdict: what blocks a restart, and what never does."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.checks.finding import Finding, Findings, Severity
from cfgaudit.history.change import Change, ChangeKind, Mark, Review, Revision, Side, Written
from cfgaudit.history.gating.acceptance import Acceptance, Word, told
from cfgaudit.history.gating.gate import judge, unmarked
from cfgaudit.history.states.snapshot import Snapshot
from cfgaudit.source import Memory
from cfgaudit.syntax.document import Place

HERE = Place("oven.ini", 3, 1, 3, 9)
WHEN = datetime.fromisoformat("2026-11-10T08:05:00+01:00")
MARK = Mark("good/2026-11-10", "1" * 40, WHEN, "Odile", "six hours")
SINCE, NOW = Revision(MARK.name, MARK.commit, WHEN, MARK), Revision("working tree", None)


def finding(severity: Severity, name: str = "a") -> Finding:
    return Finding("limits-inverted", severity, "heat", f"{name} is wrong", HERE, (), "Mend it.", name)


def side(value: str, section: str = "oven") -> Side:
    return Side(section, HERE, (Written(section, "hottest", value, HERE, "hand"),))


def change(severity: Severity = Severity.DANGER, *, effective: bool = True, after: str = "300") -> Change:
    return Change(
        ChangeKind.CHANGED,
        "heat",
        severity,
        "oven",
        "hottest",
        "temp.max",
        None,
        "heater",
        side("240"),
        side(after),
        effective=effective,
    )


def review(changes: Sequence[Change] = (), new: Sequence[Finding] = (), standing: int = 0) -> Review:
    return Review(SINCE, NOW, "oven.ini", tuple(changes), tuple(new), (), standing)


def accepting(*changes: Change) -> Acceptance:
    return Acceptance("2" * 40, (Word("meant", "Odile", WHEN, frozenset(map(told, changes))),))


@given(st.sampled_from(Severity), st.sampled_from(Severity))
def test_a_new_finding_blocks_at_or_above_the_severity_that_is_asked_for(at: Severity, has: Severity) -> None:
    order = ["danger", "error", "warning", "note"]  # from the worst, as the documentation lists them
    verdict = judge(review(new=[finding(has)]), at, None)
    assert verdict.passes == (order.index(has) > order.index(at))
    assert bool(verdict.findings) != verdict.passes


def test_what_was_known_at_the_mark_never_blocks() -> None:
    assert judge(review(standing=7), Severity.NOTE, None).passes


@given(st.sampled_from(Severity), st.booleans())
def test_a_change_blocks_if_it_is_a_danger_and_counts(severity: Severity, effective: bool) -> None:
    verdict = judge(review([change(severity, effective=effective)]), Severity.NOTE, None)
    assert verdict.passes != (severity is Severity.DANGER and effective)


def test_an_accepted_change_does_not_block() -> None:
    verdict = judge(review([change()]), Severity.ERROR, accepting(change()))
    assert verdict.passes
    assert (verdict.changes, verdict.accepted) == ((), (change(),))


def test_an_acceptance_covers_the_changes_that_it_was_given_for() -> None:
    """From another value (a newer mark), to another one, or of something else: that was not accepted."""
    other = change(after="320")
    verdict = judge(review([change(), other]), Severity.ERROR, accepting(change()))
    assert not verdict.passes
    assert verdict.changes == (other,)


def test_findings_are_not_accepted() -> None:
    verdict = judge(review([change()], [finding(Severity.ERROR)]), Severity.ERROR, accepting(change()))
    assert not verdict.passes
    assert verdict.findings == (finding(Severity.ERROR),)


def test_the_worst_stands_first() -> None:
    new = [finding(Severity.ERROR, "b"), finding(Severity.DANGER, "c"), finding(Severity.ERROR, "a")]
    names = [one.fingerprint for one in judge(review(new=new), Severity.ERROR, None).findings]
    assert names == ["c", "b", "a"]


def test_without_a_mark_every_finding_blocks() -> None:
    snapshot = Snapshot(NOW, Memory({"oven.ini": b""}), "oven.ini")
    found = unmarked(snapshot, Findings((finding(Severity.ERROR), finding(Severity.NOTE, "b"))))
    verdict = judge(found, Severity.ERROR, None)
    assert not verdict.marked
    assert verdict.findings == (finding(Severity.ERROR),)
    assert judge(unmarked(snapshot, Findings(())), Severity.NOTE, None).passes
    assert judge(review(), Severity.NOTE, None).marked
