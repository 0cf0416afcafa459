"""The values that settings and facts had, as JSON."""

from __future__ import annotations

from collections.abc import Sequence

from cfgaudit.history.change import Commit, Mark, Written
from cfgaudit.history.over_time.fact_timeline import Computed
from cfgaudit.history.over_time.tracker import Moment, Timeline
from cfgaudit.report.history import HistoryReport, last_known
from cfgaudit.report.json_form import Json, place_form


def history_form(report: HistoryReport) -> Json:
    """Every value of every setting and fact, the newest first; ``now`` is what is on disk."""
    return {
        "main": report.main,
        "settings": [_setting_form(one) for one in report.settings],
        "facts": [_fact_form(one) for one in report.facts],
    }


def _setting_form(timeline: Timeline[Written]) -> Json:
    shown = last_known(timeline)
    return {
        "section": shown.section,
        "setting": shown.setting,
        "now": timeline.now and _written_form(timeline.now),
        "values": [_written_moment(one) for one in timeline.moments],
    }


def _written_moment(moment: Moment[Written]) -> Json:
    held = moment.held
    return {
        "value": held and held.value,
        **_moment_form(moment.commit, moment.marks),
        "where": held and place_form(held.where),
        "written_by": held and held.author,
        "before": moment.before and _written_form(moment.before),
    }


def _written_form(one: Written) -> Json:
    return {
        "section": one.section,
        "setting": one.setting,
        "value": one.value,
        "where": place_form(one.where),
        "written_by": one.author,
    }


def _fact_form(timeline: Timeline[Computed]) -> Json:
    shown = last_known(timeline)
    return {
        "fact": shown.name,
        "unit": shown.unit,
        "now": timeline.now and _computed_form(timeline.now),
        "values": [_computed_moment(one) for one in timeline.moments],
    }


def _computed_moment(moment: Moment[Computed]) -> Json:
    held = moment.held
    return {
        "value": None if held is None else held.value,
        **_moment_form(moment.commit, moment.marks),
        "from": [_written_form(source) for source in held.sources] if held else [],
        "before": moment.before and _computed_form(moment.before),
    }


def _computed_form(one: Computed) -> Json:
    return {"fact": one.name, "value": one.value, "unit": one.unit}


def _moment_form(commit: Commit | None, marks: Sequence[Mark]) -> Json:
    form = commit and {
        "id": commit.id,
        "date": commit.date.isoformat(),
        "author": commit.author,
        "summary": commit.summary,
    }
    return {"commit": form, "marks": [mark.name for mark in marks]}
