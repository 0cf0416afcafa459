"""An upgrade as JSON."""

from __future__ import annotations

from typing import Any

from cfgaudit.evidence.comparing.quantity import Measured, Quantity, counts
from cfgaudit.evidence.comparing.variances import Ratio
from cfgaudit.history.upgrade import Acceleration, Upgrade
from cfgaudit.report.changes_json import change_form, revision_form
from cfgaudit.report.json_form import Json


def comparison_form(upgrade: Upgrade) -> Json:
    """The report of ``compare``: numbers in the units that they were recorded in."""
    return {
        "main": upgrade.main,
        "from": revision_form(upgrade.before),
        "to": revision_form(upgrade.after),
        "changes": [change_form(one) for one in upgrade.changes],
        "other_changes": upgrade.others,
        "quantities": [_quantity(one, upgrade) for one in upgrade.quantities],
        "accelerations": [_acceleration(one) for one in upgrade.accelerations],
        "counts": {str(verdict): count for verdict, count in counts(upgrade.quantities).items()},
        "broken": upgrade.broken,
    }


def _quantity(one: Quantity, upgrade: Upgrade) -> dict[str, Any]:
    return {
        "kind": str(one.kind),
        "part": one.part,
        "quantity": one.name,
        "better": one.better or None,
        "nearest": one.nearest,
        "before": _side(one.before, one.name, upgrade),
        "after": _side(one.after, one.name, upgrade),
        "difference": one.change,
        "relative": one.relative,
        "test": _test(one),
        "verdict": str(one.verdict),
        "why": one.why or None,
    }


def _side(side: Measured | None, name: str, upgrade: Upgrade) -> dict[str, Any] | None:
    if side is None:
        return None
    files = [one.file for one in side.records]
    return {
        "value": side.summary.mean,
        "unit": side.unit,
        "samples": side.summary.size,
        "spread": side.summary.spread,
        "date": side.records[0].date.isoformat(),
        "records": files,
        "stale": [reason for file in files for reason in upgrade.reasons(file, name)],
        "doubts": [doubt for record in side.records for doubt in record.doubts],
    }


def _test(one: Quantity) -> dict[str, Any] | None:
    """``of`` says what ``value`` is, and between which bounds: after − before, or after ÷ before."""
    if one.test is None:
        return None
    return {"of": "ratio" if isinstance(one.test, Ratio) else "difference", **one.test._asdict()}


def _acceleration(one: Acceleration) -> dict[str, Any]:
    return {"axis": one.axis, "before": one.before, "after": one.after}
