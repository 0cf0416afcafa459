"""``check``: what is wrong with a configuration."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.checks.finding import Findings, Severity
from cfgaudit.cli.chip_tables import InstalledChips
from cfgaudit.cli.clock import time_of_reading
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import STANDARD_INPUT, Opened, open_configuration
from cfgaudit.cli.options import Form, Format, Rev, Staged
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write

if TYPE_CHECKING:
    from cfgaudit.audit import Audit
    from cfgaudit.history.change import Review

MainOrInput = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(
        metavar="MAIN",
        help="The main file, its folder, or - for one file from standard input. Without it: what "
        "cfgaudit.toml says, or the one file here that no other includes.",
        show_default=False,
    ),
]
Path = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--path",
        metavar="FILE",
        help="With -: the file that standard input stands for. If a main file includes it, the whole "
        "configuration is checked.",
        show_default=False,
    ),
]
FailAt = Annotated[
    Severity, typer.Option("--fail-at", help="Exit with 1 if anything is found at or above this severity.")
]
Since = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--since",
        metavar="MARK",
        help="Report what this revision did not have, and count the rest. last-mark: the last one that was "
        "marked.",
        show_default=False,
    ),
]
Changes = Annotated[bool, typer.Option("--changes", help="List what changed since the last mark, first.")]
Skipped = Annotated[bool, typer.Option("--skipped", help="List the rules that could not run, and why.")]


def run(
    main: MainOrInput = None,
    rev: Rev = None,
    staged: Staged = False,
    path: Path = None,
    form: Form = Format.TEXT,
    fail_at: FailAt = Severity.ERROR,
    since: Since = None,
    changes: Changes = False,
    skipped: Skipped = False,
) -> None:
    """Check a configuration: is it coherent, and safe to restart with?

    Exit status: 0 nothing at or above --fail-at, 1 findings, 2 wrong usage or nothing readable.
    """
    from cfgaudit.audit import audit

    if changes and main == STANDARD_INPUT:
        raise UsageError("--changes is about files: leave it out where standard input is checked")
    opened = _open(main, path, rev=rev, staged=staged)
    with progress(f"checking {opened.main}"):
        now = time_of_reading(opened.folder)
        found = audit(opened.source, opened.main, opened.project, library=InstalledChips(), now=now)
        findings, stood_at = found.findings, ""
        if since is not None:
            from cfgaudit.cli.since import Past

            findings, stood_at = Past(opened, found, rev=rev, staged=staged).knowing(since)
        recent: Review | str | None = None
        if changes:
            from cfgaudit.cli.since import recent_changes

            recent = recent_changes(opened, found, rev=rev, staged=staged)
    _report(found, findings, stood_at, recent, form, skipped=skipped)
    if fails(findings, fail_at):
        raise typer.Exit(1)


def _report(
    found: Audit,
    findings: Findings,
    stood_at: str,
    recent: Review | str | None,
    form: Format,
    *,
    skipped: bool,
) -> None:
    from cfgaudit.report.findings import findings_form, findings_lines
    from cfgaudit.report.json_form import dump

    main, documents = found.tree.main, found.tree.documents
    if form is Format.JSON:
        told = dict(findings_form(main, documents, findings, since=stood_at))
        if recent is not None:
            from cfgaudit.report.recent import recent_form

            told |= recent_form(recent)
        write(dump(told))
        return
    if recent is not None:
        from cfgaudit.report.recent import recent_lines

        show(recent_lines(recent, width()))
    show(findings_lines(main, documents, findings, width(), skipped=skipped, since=stood_at))


def _open(main: str | None, path: str | None, *, rev: str | None, staged: bool) -> Opened:
    if main == STANDARD_INPUT:
        from cfgaudit.cli.standard_input import open_standard_input

        return open_standard_input(path, rev=rev, staged=staged)
    if path is not None:
        raise UsageError("--path names what comes from standard input: give - as the main file with it")
    return open_configuration(main, rev=rev, staged=staged)


def fails(findings: Findings, at: Severity) -> bool:
    """Whether anything that was not known is found at or above a severity."""
    return any(one.severity.rank <= at.rank and not one.known for one in findings.findings)
