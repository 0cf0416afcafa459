"""``marks``: every commit that was declared known-good."""

from __future__ import annotations

from cfgaudit.cli.options import Form, Format
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile, open_states


def run(main: MainFile = None, form: Form = Format.TEXT) -> None:
    """List the marks, newest first, with what was measured and how much changed from one to the next."""
    from cfgaudit.history.mark_list import list_marks
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.marks import marks_form, marks_lines

    states = open_states(main)
    with progress(f"comparing {states.main}"):
        listed = list_marks(states)
    if form is Format.JSON:
        write(dump(marks_form(listed)))
    else:
        show(marks_lines(listed, width()))
