"""All of one record as text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from enum import StrEnum
from typing import NamedTuple

from cfgaudit.evidence.records.chosen import results_of_choice
from cfgaudit.evidence.records.record import DependedOn, MeasurementKind, Record
from cfgaudit.report.evidence import INDENT, NOTHING_SINCE, Since, listed, result_of
from cfgaudit.report.lines import BLANK, Line, line, one_line, wrapped
from cfgaudit.report.unwatched import CHANGED, NOT_WATCHED, unwatched_text
from cfgaudit.tree.config_tree import Setting

LABELS = 14
"""Columns of what stands before the values."""


class Unwatched(NamedTuple):
    """Settings of what was measured that nobody understands, and those of them that are others since."""

    settings: Sequence[Setting] = ()
    changed: Sequence[Setting] = ()


NO_SETTINGS = Unwatched()


class Committed(StrEnum):
    """How a record's commit stands to what was measured."""

    WHOLE = ""
    OTHERWISE = ", with other settings than that commit has"
    UNKNOWN = ", which this repository does not have"


def record_lines(
    record: Record, since: Since, committed: Committed | None, width: int, unwatched: Unwatched = NO_SETTINGS
) -> Iterator[Line]:
    """All of one record."""
    then = since.get(record.file, NOTHING_SINCE)
    yield from wrapped(one_line(record.title), width, INDENT, "strong", line())
    for name, text in _about(record, committed):
        if text:
            yield from wrapped(one_line(text), width, LABELS, first=f"  {name:<{LABELS - 2}}")
    yield from _block("Results", (result_of(record, one) for one in record.results), width)
    yield from _block("Doubtful, so that no rule is held against it", record.doubts, width)
    yield from _block("Stale because of", then.stale, width)
    yield from _block("Chosen anew since", [*then.outdated], width)
    yield from _block("Taken with, and it holds as long as these stay so", _settings(record.depends), width)
    names = listed(results_of_choice(record.kind))
    yield from _block(f"Chosen then, which {names} are about", _settings(record.chosen), width)
    yield from _unwatched_lines(unwatched, width)


def _unwatched_lines(unwatched: Unwatched, width: int) -> Iterator[Line]:
    titled = ((CHANGED, unwatched.changed), (NOT_WATCHED, unwatched.settings))
    texts = [told for title, settings in titled if (told := unwatched_text(title, settings))]
    if texts:
        yield BLANK
    for text in texts:
        yield from wrapped(one_line(text), width, INDENT, first="")


def _settings(settings: Iterable[DependedOn]) -> Iterator[str]:
    return (f"[{one.section}] {one.setting} = {one.value}" for one in settings)


def _about(record: Record, committed: Committed | None) -> Iterator[tuple[str, str]]:
    declared = record.kind is MeasurementKind.HARDWARE
    yield "declared" if declared else "measured", record.date.strftime("%Y-%m-%d %H:%M %z")
    yield "with", record.instrument
    yield "conditions", record.conditions
    yield "note", record.note
    yield "concerns", ", ".join(record.affects)
    yield "replaced", "yes, counting starts again" if record.replaced else ""
    yield "at commit", f"{record.commit[:7]}{committed or ''}" if record.commit else ""
    yield "main file", record.main
    yield "from", ", ".join(f"{one.name} (SHA-256 {one.sha256})" for one in record.raw)
    yield "file", record.file


def _block(title: str, texts: Iterable[str], width: int) -> Iterator[Line]:
    texts = list(texts)
    if texts:
        yield BLANK
        yield from wrapped(title, width, INDENT, "strong", line())
    for text in texts:
        yield from wrapped(one_line(text), width, INDENT, first="  ")
