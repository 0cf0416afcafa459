"""Values that were left for somebody to fill in."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.placeholder_text import is_placeholder
from cfgaudit.checks.registry import check
from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.reading import Reading, SectionReading


@check("placeholder-left")
def placeholder_left(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A placeholder as a whole value. Those of alias tables may be names of contacts: they are not judged."""
    for section in subject.reading.sections:
        if any(part.kind == "alias" for part in section.parts):
            continue
        for reading in section.readings:
            if reading.role != "macro.body" and is_placeholder(reading.setting.value):
                yield _left(section, reading)


def _left(section: SectionReading, reading: Reading) -> Problem:
    setting = reading.setting
    name = f"[{setting.section}] {setting.name}" if setting.section else setting.name
    sure = reading.role is not None and ROLES[reading.role].shape != "text"
    return Problem(
        setting.place,
        f"{name} is still the placeholder {setting.value.strip()}",
        f"{section.section.key} {setting.key}",
        severity=None if sure else Severity.WARNING,
    )
