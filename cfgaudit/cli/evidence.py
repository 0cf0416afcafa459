"""``evidence``: what was measured, and whether it still holds."""

from __future__ import annotations

from typing import Annotated, Optional

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import AS_OPTION, open_configuration
from cfgaudit.cli.options import Form, Format, Rev, Staged
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile
from cfgaudit.evidence.records.record import FOLDER, Evidence, Record

Word = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(metavar="show", help="show: all of one record.", show_default=False),
]
Named = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(
        metavar="RECORD", help="With show: its file, or the beginning of its name.", show_default=False
    ),
]


def run(
    word: Word = None,
    named: Named = None,
    main: MainFile = None,
    rev: Rev = None,
    staged: Staged = False,
    form: Form = Format.TEXT,
) -> None:
    """List the measurements in the folder evidence, newest first; stale ones say why.

    A measurement is stale as soon as a setting that it depends on is another one, or a change of hardware was
    declared that concerns it.
    """
    from cfgaudit.audit import understand
    from cfgaudit.evidence.records.read import read_evidence
    from cfgaudit.evidence.records.staleness import stale_records
    from cfgaudit.report.evidence import evidence_form, evidence_lines, record_form, record_lines
    from cfgaudit.report.json_form import dump

    if word not in (None, "show") or (word == "show") != (named is not None):
        raise UsageError("wrong words: say cfgaudit evidence, or cfgaudit evidence show RECORD")
    opened = open_configuration(main, rev=rev, staged=staged, naming=AS_OPTION)
    evidence = read_evidence(opened.source)
    machine = understand(opened.source, opened.main, opened.project).machine
    stale = stale_records(evidence, machine)
    if named is None:
        if form is Format.JSON:
            write(dump(evidence_form(opened.main, evidence, stale)))
        else:
            show(evidence_lines(evidence, stale, width()))
        return
    record = _one(evidence, named)
    reasons = next((one.reasons for one in stale if one.record is record), ())
    if form is Format.JSON:
        write(dump(record_form(record, reasons)))
    else:
        show(record_lines(record, reasons, width()))


def _one(evidence: Evidence, named: str) -> Record:
    wanted = named.removeprefix("./").removeprefix(f"{FOLDER}/")
    exact = [one for one in evidence.records if one.file == f"{FOLDER}/{wanted}"]
    found = exact or [one for one in evidence.records if one.file.startswith(f"{FOLDER}/{wanted}")]
    if len(found) == 1:
        return found[0]
    if found:
        raise UsageError(f"{len(found)} records begin with {named}: give more of the name")
    for broken in evidence.broken:
        if broken.file == f"{FOLDER}/{wanted}":
            raise UsageError(f"{broken.file}:{broken.line} is no record: {broken.why}")
    raise UsageError(f"no record is called {named}: cfgaudit evidence lists them")
