"""``history``: every value that a setting or a fact had."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.options import Form, Format
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile, commit_of, open_states

if TYPE_CHECKING:
    from cfgaudit.history.over_time.past import Past
    from cfgaudit.report.history import HistoryReport

Name = Annotated[
    str,
    typer.Argument(
        metavar="NAME",
        help="A setting, SECTION:SETTING, or a fact, axis.x.travel; globs allowed: '*:top speed'.",
    ),
]
# ``Optional`` is spelled out: the command-line library evaluates these at run time.
Since = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--since", metavar="REV", help="Only what happened after this revision.", show_default=False
    ),
]


def run(name: Name, main: MainFile = None, since: Since = None, form: Form = Format.TEXT) -> None:
    """Show every value that a setting or a fact had: since when, by which commit, at which marks.

    Renames, and moves to other sections and files, are followed.
    """
    from cfgaudit.history.over_time.past import Past
    from cfgaudit.report.history import history_lines
    from cfgaudit.report.history_json import history_form
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.lines import one_line, wrapped

    if not name.strip(" :"):
        raise UsageError("the name is empty: give SECTION:SETTING, or a fact")
    states = open_states(main)
    start = None if since is None else commit_of(states, since)
    with progress(f"reading the history of {states.main}"):
        past = Past(states)
        if start is not None and not past.holds(start):
            raise UsageError(f"HEAD does not come from {since}: name a revision that it comes from")
        report = _find(past, name, start)
        unchanged = start is not None and not report.found and _find(past, name, None).found
        if not (report.found or unchanged):
            raise UsageError(_never(past, name))
    if form is Format.JSON:
        write(dump(history_form(report)))
    elif unchanged:
        show(wrapped(one_line(f"{name} did not change after {since}."), width(), 0))
    else:
        show(history_lines(report, width()))


def _find(past: Past, name: str, since: str | None) -> HistoryReport:
    """The settings or facts of that name. Without a colon it may be either, or a section."""
    from cfgaudit.history.over_time.fact_timeline import fact_timelines
    from cfgaudit.history.over_time.timeline import read_pattern, setting_timelines
    from cfgaudit.report.history import HistoryReport

    main, cut_off = past.states.main, past.states.repository.shallow
    if ":" not in name and "." in name:
        facts = fact_timelines(past, name.strip().casefold(), since)
        if facts:
            return HistoryReport(main, facts=facts, cut_off=cut_off)
    for address in (name,) if ":" in name else (f"*:{name}", f"{name}:*"):
        settings = setting_timelines(past, read_pattern(address), since)
        if settings:
            return HistoryReport(main, settings, cut_off=cut_off)
    return HistoryReport(main)


def _never(past: Past, name: str) -> str:
    """What to say where nothing ever had a name, with the nearest one that there is."""
    from cfgaudit.history.over_time.known_names import nearest_setting
    from cfgaudit.history.over_time.past import NOW
    from cfgaudit.nearest import nearest

    subject, trees = past.subject(NOW), [past.tree(state.id) for state in past.line[:-3:-1]]
    near = None if ":" not in name else nearest_setting(trees, name)
    if near is None and "." in name and subject is not None:
        near = nearest(name, [one.name for one in subject.facts.facts])
    if near is None and ":" not in name:
        near = nearest_setting(trees, f"*:{name}") or nearest_setting(trees, f"{name}:*")
    hint = f"did you mean {near}? " if near else ""
    return f"nothing was ever called {name}: {hint}cfgaudit roles lists settings, cfgaudit facts the facts"
