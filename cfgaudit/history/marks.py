"""Marks: annotated tags ``good/<date>`` that declare a commit known-good, with what was measured then."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from cfgaudit.history.change import Mark
from cfgaudit.history.repository import Repository

PREFIX = "good/"
MEASURED = "Measured"
"""The trailer's token: ``Measured: NAME=VALUE``, one a line at the end of the tag's message."""
FIELDS = ("refname:lstrip=2", "*objectname", "taggerdate:iso-strict", "taggername", "contents:body")


def read_marks(repository: Repository, reachable_from: str | None = None) -> tuple[Mark, ...]:
    """Every mark, newest first; of commits that ``reachable_from`` (a full id) holds if it is given."""
    merged = [f"--merged={reachable_from}"] if reachable_from else []
    form = "%00".join(f"%({field})" for field in ("refname:lstrip=2", "*objectname", "taggerdate:iso-strict"))
    form += "%00%(taggername)%00%(contents:subject)%00%(contents:body)%00%01"
    listed = repository.run("for_each_ref", f"--format={form}", *merged, f"refs/tags/{PREFIX}")
    marks = list(_marks(listed.decode("utf-8", "surrogateescape")))
    return tuple(sorted(marks, key=lambda mark: mark.date, reverse=True))


def _marks(listed: str) -> Iterator[Mark]:
    for record in listed.split("\0\x01\n"):
        name, commit, date, author, subject, body = (record.split("\0") + [""] * 6)[:6]
        if commit and date:
            lines = [line for line in body.splitlines() if line.startswith(f"{MEASURED}:")]
            pairs = (line.removeprefix(f"{MEASURED}:").strip().partition("=") for line in lines)
            measured = tuple((key.strip(), value.strip()) for key, _, value in pairs)
            yield Mark(name, commit, datetime.fromisoformat(date), author, subject, measured)
