"""Snapshots: the same machine's files at several times, understood with the words of today."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.audit import Audit, audit
from cfgaudit.history.change import Revision
from cfgaudit.project import Project
from cfgaudit.source import Source

if TYPE_CHECKING:
    from datetime import datetime

    from cfgaudit.machine.chips.chip import ChipLibrary
    from cfgaudit.syntax.parse import Parser


class Snapshot(NamedTuple):
    """One state of the files: where its bytes come from, and its main file relative to the source's root."""

    revision: Revision
    source: Source
    main: str


def audit_snapshot(
    snapshot: Snapshot,
    project: Project,
    *,
    parse: Parser,
    library: ChipLibrary | None = None,
    now: datetime | None = None,
) -> Audit:
    """The audit of one state. ``parse`` is shared between snapshots, so that equal files are parsed once.

    ``project`` is today's for every state: that a word is understood now is no change of the machine.
    """
    return audit(snapshot.source, snapshot.main, project, library=library, parse=parse, now=now)
