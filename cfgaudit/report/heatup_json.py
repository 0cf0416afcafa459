"""A heater as measured as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from pathlib import Path
from typing import Any

from cfgaudit.evidence.heating.guarding import Watched
from cfgaudit.evidence.heating.heated import Heated
from cfgaudit.evidence.heating.regulator import Margins
from cfgaudit.report.heatup import Budgets, loop_word
from cfgaudit.report.json_form import Json


def heatup_form(found: Heated, budgets: Budgets, kept: Path | None) -> Json:
    """The report of ``measure heatup``; margins without end are null."""
    fit, heater, regulation = found.fit, found.heater, found.regulation
    return {
        "heater": found.title,
        "model": {
            **fit.plant._asdict(),
            "ambient": fit.ambient,
            "residual": fit.residual,
            "worst": fit.worst,
        },
        "top": fit.top,
        "limit": found.limit,
        "full_duty": heater.full,
        "rise_at_top": heater.rate(fit.top),
        "rise_at_limit": None if found.limit is None else heater.rate(found.limit),
        "guards": [
            {**one.watching._asdict(), **_without(one, "watching"), "trips": one.trips, "beyond": one.beyond}
            for one in found.watched
        ],
        "bearable": budgets.beyond,
        "regulator": {
            "full_output": regulation.full_output,
            "assumed": not regulation.stated,
            "gains": None if regulation.gains is None else regulation.gains._asdict(),
            "margins": None if regulation.margins is None else _margins_form(regulation.margins),
            "divide_by": None if regulation.calming is None else regulation.calming.divisor,
            "loop": None if regulation.margins is None else loop_word(regulation.margins, budgets.thin),
            "others": [{"full_output": output, **_margins_form(one)} for output, one in regulation.others],
            "if_times": None if regulation.ideal is None else _margins_form(regulation.ideal),
            "skogestad": {
                **regulation.suggested._asdict(),
                **_margins_form(regulation.suggested_margins),
                "closed_loop": regulation.closed_loop,
            },
        },
        "notes": list(found.notes),
        "doubts": list(found.doubts),
        "record": None if kept is None else str(kept),
    }


def _without(one: Watched, name: str) -> Mapping[str, Any]:
    return {key: value for key, value in one._asdict().items() if key != name}


def _margins_form(found: Margins) -> Mapping[str, float | bool | None]:
    named = {"gain_margin": found.gain, "phase_margin": found.phase}
    finite = {name: value if isfinite(value) else None for name, value in named.items()}
    return {**finite, "swings": found.swings}
