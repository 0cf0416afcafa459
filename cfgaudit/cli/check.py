"""``check``: what is wrong with a configuration."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from cfgaudit.checks.finding import Findings, Severity
from cfgaudit.cli.chip_tables import InstalledChips
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import STANDARD_INPUT, Opened, open_configuration
from cfgaudit.cli.options import Form, Format, Rev, Staged
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write

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
Skipped = Annotated[bool, typer.Option("--skipped", help="List the rules that could not run, and why.")]


def run(
    main: MainOrInput = None,
    rev: Rev = None,
    staged: Staged = False,
    path: Path = None,
    form: Form = Format.TEXT,
    fail_at: FailAt = Severity.ERROR,
    skipped: Skipped = False,
) -> None:
    """Check a configuration: is it coherent, and safe to restart with?

    Exit status: 0 nothing at or above --fail-at, 1 findings, 2 wrong usage or nothing readable.
    """
    from cfgaudit.audit import audit
    from cfgaudit.report.findings import findings_form, findings_lines
    from cfgaudit.report.json_form import dump

    opened = _open(main, path, rev=rev, staged=staged)
    with progress(f"checking {opened.main}"):
        found = audit(opened.source, opened.main, opened.project, library=InstalledChips())
    documents = found.tree.documents
    if form is Format.JSON:
        write(dump(findings_form(found.tree.main, documents, found.findings)))
    else:
        show(findings_lines(found.tree.main, documents, found.findings, width(), skipped=skipped))
    if fails(found.findings, fail_at):
        raise typer.Exit(1)


def _open(main: str | None, path: str | None, *, rev: str | None, staged: bool) -> Opened:
    if main == STANDARD_INPUT:
        from cfgaudit.cli.standard_input import open_standard_input

        return open_standard_input(path, rev=rev, staged=staged)
    if path is not None:
        raise UsageError("--path names what comes from standard input: give - as the main file with it")
    return open_configuration(main, rev=rev, staged=staged)


def fails(findings: Findings, at: Severity) -> bool:
    """Whether anything is found at or above a severity."""
    return any(one.severity.rank <= at.rank for one in findings.findings)
