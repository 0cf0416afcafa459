"""``evidence``: what was measured, and whether it still holds."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.clock import time_of_reading
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.opening import AS_OPTION, Opened, open_configuration
from cfgaudit.cli.options import Form, Format, Rev, Staged
from cfgaudit.cli.record_keeping import check_readable
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile
from cfgaudit.evidence.records.record import FOLDER, Evidence, Record
from cfgaudit.source import SourceError
from cfgaudit.working_tree import WorkingTree

if TYPE_CHECKING:
    from cfgaudit.checks.finding import Subject
    from cfgaudit.report.record_page import Committed, Unwatched

SHOW = "show"


def _complete_word(incomplete: str) -> list[str]:
    return [SHOW] if SHOW.startswith(incomplete) else []


def _complete_record(incomplete: str) -> list[str]:
    """The records of this folder."""
    names = WorkingTree(Path()).folder(FOLDER) or ()
    return [name for name in names if name.endswith(".toml") and name.startswith(incomplete)]


Word = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(
        metavar="show", help="show: all of one record.", show_default=False, autocompletion=_complete_word
    ),
]
Named = Annotated[
    Optional[str],  # noqa: UP045
    typer.Argument(
        metavar="RECORD",
        help="With show: its file, or the beginning of its name.",
        show_default=False,
        autocompletion=_complete_record,
    ),
]

FULL_ID = re.compile(r"[0-9a-f]{40}(?:[0-9a-f]{24})?")
"""Of a commit, by SHA-1 or SHA-256."""


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
    from cfgaudit.evidence.records.staleness import outdated_results, stale_records
    from cfgaudit.report.evidence import evidence_form, evidence_lines, record_form, since_then
    from cfgaudit.report.json_form import dump
    from cfgaudit.report.record_page import record_lines

    if word not in (None, SHOW) or (word == SHOW) != (named is not None):
        raise UsageError("wrong words: say cfgaudit evidence, or cfgaudit evidence show RECORD")
    opened = open_configuration(main, rev=rev, staged=staged, naming=AS_OPTION)
    subject = understand(opened.source, opened.main, opened.project, now=time_of_reading(opened.folder))
    evidence, machine = subject.evidence, subject.machine
    check_readable(evidence, opened.folder)
    since = since_then(stale_records(evidence, machine), outdated_results(evidence, machine))
    if named is None:
        if form is Format.JSON:
            write(dump(evidence_form(opened.main, evidence, since)))
        else:
            show(evidence_lines(evidence, since, width()))
        return
    record = _one(evidence, named)
    if form is Format.JSON:
        write(dump(record_form(record, since)))
    else:
        unwatched = _unwatched(subject, record)
        show(record_lines(record, since, _committed(opened, record), width(), unwatched))


def _unwatched(subject: Subject, record: Record) -> Unwatched:
    """The settings of what was measured that are not understood now, and those of them that are others."""
    from cfgaudit.evidence.records.staleness import held_against
    from cfgaudit.evidence.records.unwatched import changed_unwatched, unwatched
    from cfgaudit.report.record_page import Unwatched

    name = held_against(subject.evidence, subject.machine).name(record)
    if name is None:
        return Unwatched()
    found = unwatched(record.kind, name, subject.machine)
    return Unwatched(found, changed_unwatched(record, name, subject.machine))


def _committed(opened: Opened, record: Record) -> Committed | None:
    """How the commit that a record names stands to what was measured; None where it names none."""
    from cfgaudit.evidence.records.dependencies import settings_digest
    from cfgaudit.history.git.sources import GitCommit
    from cfgaudit.report.record_page import Committed
    from cfgaudit.tree.resolve import TreeOptions, resolve

    if record.commit is None:
        return None
    if not FULL_ID.fullmatch(record.commit):  # a name of a commit, which may move
        return Committed.UNKNOWN
    try:
        source = GitCommit(opened.folder, record.commit, opened.allowed)
    except SourceError:
        return Committed.UNKNOWN
    try:
        tree = resolve(source, record.main or opened.main, TreeOptions(traits=opened.project.traits))
    except SourceError:  # the main file had another name then
        return None
    return Committed.WHOLE if settings_digest(tree) == record.digest else Committed.OTHERWISE


def _one(evidence: Evidence, named: str) -> Record:
    wanted = named.removeprefix("./").removeprefix(f"{FOLDER}/")
    names = (f"{FOLDER}/{wanted}", f"{FOLDER}/{wanted}.toml")
    exact = [one for one in evidence.records if one.file in names]
    found = exact or [one for one in evidence.records if one.file.startswith(f"{FOLDER}/{wanted}")]
    if len(found) == 1:
        return found[0]
    if found:
        raise UsageError(f"{len(found)} records begin with {named}: give more of the name")
    for broken in evidence.broken:
        if broken.file in names:
            raise UsageError(f"{broken.file}:{broken.line} is no record: {broken.why}")
    raise UsageError(f"no record is called {named}: cfgaudit evidence lists them")
