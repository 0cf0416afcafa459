"""Hours of wear against the limits that the builder sets."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.evidence.records import in_file
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.evidence.records.hours import all_hours, hours_text, limit_of
from cfgaudit.tree.names import fold_name


@check("hours-exceeded")
def hours_exceeded(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A part that has run longer than ``cfgaudit.toml`` allows it."""
    for one in all_hours(subject.evidence) if subject.hours else ():
        limit = limit_of(one.part, subject.hours)
        if limit is not None and one.hours > limit:
            run, most = hours_text(one.hours), hours_text(limit)
            yield Problem(
                in_file(one.record.file, one.record.line),
                f"{' '.join(one.part.split())}: {run} of use, more than the {most} that cfgaudit.toml allows",
                subject=fold_name(one.part),
            )
