"""``hours``: how long parts have run since they were replaced, at each mark, against the builder's limits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cfgaudit.cli.clock import time_of_reading
from cfgaudit.cli.opening import Opened, open_configuration
from cfgaudit.cli.options import Form, Format, Main
from cfgaudit.cli.record_keeping import check_readable
from cfgaudit.cli.screen import show, width, write
from cfgaudit.source import SourceError

if TYPE_CHECKING:
    from cfgaudit.history.change import Mark


def run(main: Main = None, form: Form = Format.TEXT) -> None:
    """List how long each part has run since it was replaced, now and at each mark.

    Limits stand in cfgaudit.toml: [hours], then belts = 500. check finds what is beyond them.
    """
    from cfgaudit.audit import understand
    from cfgaudit.evidence.records.hours import all_hours
    from cfgaudit.report.hours import hours_form, hours_lines
    from cfgaudit.report.json_form import dump

    opened = open_configuration(main, naming="cfgaudit hours FILE")
    clock = time_of_reading(opened.folder)
    evidence = understand(opened.source, opened.main, opened.project, now=clock).evidence
    check_readable(evidence, opened.folder)
    now = all_hours(evidence)
    then = [(mark, all_hours(evidence, mark.date)) for mark in _marks(opened)]
    if form is Format.JSON:
        write(dump(hours_form(now, then, opened.project.hours)))
    else:
        show(hours_lines(now, then, opened.project.hours, width()))


def _marks(opened: Opened) -> tuple[Mark, ...]:
    """The marks, if the files are in git."""
    from cfgaudit.history.git.repository import Repository
    from cfgaudit.history.states.marks import read_marks

    try:
        return read_marks(Repository(opened.folder))
    except SourceError:
        return ()
