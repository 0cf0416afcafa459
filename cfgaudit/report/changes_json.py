"""What changed between two states of the files, as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from cfgaudit.checks.finding import Finding, Findings
from cfgaudit.history.change import Change, Commit, Consequence, Review, Revision, Side
from cfgaudit.report.findings import findings_form
from cfgaudit.report.json_form import Json, place_form


def changes_form(review: Review) -> Json:
    """The report of ``changes``."""
    return {
        "main": review.main,
        "from": revision_form(review.before),
        "to": revision_form(review.after),
        "changes": [change_form(one) for one in review.changes],
        "findings": {
            "new": _findings(review.main, review.new),
            "gone": _findings(review.main, review.gone),
            "standing": review.standing,
        },
    }


def revision_form(revision: Revision) -> dict[str, Any]:
    """A state of the files; ``commit`` is null for the working tree and the index."""
    mark = revision.mark
    return {
        "label": revision.label,
        "commit": revision.commit,
        "date": revision.date and revision.date.isoformat(),
        "mark": mark and {"name": mark.name, "note": mark.note, "measured": dict(mark.measured)},
    }


def change_form(change: Change) -> dict[str, Any]:
    """One change. ``before`` and ``after`` are null for a whole section; ``settings`` has what it holds."""
    side = change.after or change.before
    return {
        "concern": change.concern,
        "severity": change.severity.value,
        "kind": change.kind.value,
        "section": change.section,
        "setting": change.setting,
        "role": change.role,
        "axis": change.axis,
        "part": change.part or None,
        "before": _value(change, change.before),
        "after": _value(change, change.after),
        "relative": change.relative,
        "was": _was(change),
        "why": change.why,
        "where": side and place_form(side.where),
        "effective": change.effective,
        "written_by": change.author,
        "consequences": [_consequence_form(one) for one in change.consequences],
        "commits": [commit_form(one) for one in change.commits],
        "uncommitted": change.uncommitted,
        "settings": _settings(change),
        "findings": [one.fingerprint for one in change.findings],
    }


def _value(change: Change, side: Side | None) -> str | None:
    return side.value if side is not None and change.setting else None


def _was(change: Change) -> dict[str, Any] | None:
    """Where it stood before, and under which names; null for what is new."""
    side = change.before
    if side is None:
        return None
    setting = side.settings[0].setting if change.setting and side.settings else None
    return {"section": side.section, "setting": setting, "where": place_form(side.where)}


def _settings(change: Change) -> list[dict[str, Any]]:
    """What a section that changed as a whole holds now, or held if it is gone."""
    side = change.after or change.before
    if change.setting or side is None:
        return []
    return [
        {
            "setting": one.setting,
            "value": one.value,
            "where": place_form(one.where),
            "written_by": one.author,
        }
        for one in side.settings
    ]


def _consequence_form(one: Consequence) -> dict[str, Any]:
    return {"fact": one.fact, "unit": one.unit, "before": one.before, "after": one.after}


def commit_form(commit: Commit) -> dict[str, Any]:
    """What git says of a commit."""
    return {
        "id": commit.id,
        "date": commit.date.isoformat(),
        "author": commit.author,
        "summary": commit.summary,
    }


def _findings(main: str, findings: Iterable[Finding]) -> Any:
    return findings_form(main, (), Findings(tuple(findings)))["findings"]
