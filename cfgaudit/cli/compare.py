"""``compare``: was the upgrade worth it?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.changes import ChangesFormat
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.measuring import Plot, need_extra, plot_file
from cfgaudit.cli.progress import progress
from cfgaudit.cli.record_keeping import check_readable
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile, open_states, state_at

if TYPE_CHECKING:
    from cfgaudit.evidence.records.record import Evidence
    from cfgaudit.history.states.snapshot import Snapshot
    from cfgaudit.history.states.states import States
    from cfgaudit.history.upgrade import Upgrade

# ``Optional`` is spelled out: the command-line library evaluates these at run time.
From = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(metavar="FROM", help="The state before the upgrade: a mark.", show_default=False),
]
To = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(
        metavar="TO",
        help="The state after it: a mark. With FROM and without TO: the working tree, and all that was "
        "measured until now.",
        show_default=False,
    ),
]
Form = Annotated[
    ChangesFormat,
    typer.Option("--format", help="How the report is written; markdown is for a pull request or a log book."),
]


def run(
    since: From = None,
    until: To = None,
    main: MainFile = None,
    form: Form = ChangesFormat.TEXT,
    plot: Plot = None,
) -> None:
    """Was the upgrade worth it? Every measured quantity before and after, and whether the difference is real.

    Without FROM and TO: the last mark and the working tree, if anything was measured since that mark; else
    the last mark but one and the last.

    What was measured up to FROM's date tells of the machine before; what was measured from then up to TO's
    date, of the machine after. What was measured in between with FROM's settings, and before a change of
    hardware that concerns it was declared, belongs to before. The newest measurement of a side counts, with
    those that repeat it: same settings, same hardware, another run.

    A difference is real if chance alone would make it in less than one case of twenty. Single measurements
    are no basis for a statement, however far apart they are.

    Exit status: 0 told, whatever the verdicts, 2 wrong usage or nothing readable.
    """
    from cfgaudit.history.upgrade import evidence_of, judge_upgrade

    need_extra()
    picture = plot_file(plot)
    states = open_states(main)
    evidence = evidence_of(states)
    check_readable(evidence, states.folder)
    before, after = _states(states, evidence, since, until)
    if not evidence.records and not evidence.broken:
        raise UsageError(
            "nothing was measured yet, there are no records in the folder evidence: cfgaudit measure --help "
            "lists what can be"
        )
    with progress(f"comparing {states.main}"):
        upgrade = judge_upgrade(states, evidence, before, after)
    if picture is not None:
        _draw(upgrade, picture)
    if form is ChangesFormat.JSON:
        from cfgaudit.report.comparison_json import comparison_form
        from cfgaudit.report.json_form import dump

        write(dump(comparison_form(upgrade)))
    elif form is ChangesFormat.MARKDOWN:
        from cfgaudit.report.comparison_markdown import comparison_markdown

        write(comparison_markdown(upgrade))
    else:
        from cfgaudit.report.comparison import comparison_lines

        show(comparison_lines(upgrade, width(), picture))


def _draw(upgrade: Upgrade, picture: Path) -> None:
    from cfgaudit.report.plots.canvas import NotDrawn
    from cfgaudit.report.plots.comparison import draw_comparison

    try:
        draw_comparison(upgrade, picture)
    except NotDrawn as error:
        raise UsageError(str(error)) from error


def _states(
    states: States, evidence: Evidence, since: str | None, until: str | None
) -> tuple[Snapshot, Snapshot]:
    """FROM and TO, in their order in time."""
    from cfgaudit.history.upgrade import default_states

    if since is None:
        return default_states(states, evidence)
    before = state_at(states, since)
    if until is None:
        return before, states.working_tree()
    after = state_at(states, until)
    first, last = before.revision, after.revision
    if first.date is not None and last.date is not None and first.date > last.date:
        raise UsageError(f"{since} is later than {until}: write the one before the upgrade first")
    if (first.commit, first.date) == (last.commit, last.date):
        raise UsageError(
            f"{since} and {until} are the same state: name one before the upgrade and one after it"
        )
    return before, after
