"""Sections and settings that are written more than once."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.tree.config_tree import Occurrence, Opening, Section, Setting


@check("repeated-section")
def repeated_section(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A section that one hand opens twice in one file."""
    for section in subject.tree.sections:
        for earlier, later in _reopened(section):
            message = f"[{section.name}] is opened again and merges with the one of line {earlier.place.line}"
            yield Problem(later.place, message, f"{later.place.file} {section.key}", (earlier.place,))


def _reopened(section: Section) -> Iterator[tuple[Opening, Opening]]:
    """Each later opening with the first one of the same file."""
    first: dict[str, Opening] = {}
    for opening in section.openings:
        if opening.author == "hand" and first.setdefault(opening.document.path, opening) is not opening:
            yield first[opening.document.path], opening


@check("repeated-setting")
def repeated_setting(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A setting that one hand writes twice in one file.

    Where the whole section stands twice, a setting that says the same both times is not worth a finding.
    """
    for section in subject.tree.sections:
        doubled = {opening.document.path for _, opening in _reopened(section)}
        for setting in section.settings:
            for group in _groups(setting) if len(setting.occurrences) > 1 else ():
                for earlier, later in pairwise(group):
                    if not (_same(earlier, later) and later.file in doubled):
                        yield _repeated(setting, earlier, later)


def _repeated(setting: Setting, earlier: Occurrence, later: Occurrence) -> Problem:
    name, line = _title(setting), earlier.key_place.line
    if _same(earlier, later):
        message, severity = f"{name} is set again, to the same value as in line {line}", Severity.NOTE
    else:
        message, severity = f"{name} is set again; {_shown(earlier)} in line {line} has no effect", None
    subject = f"{later.file} {setting.section} {setting.key}"
    return Problem(later.place, message, subject, (earlier.place,), severity=severity)


@check("shadowed-setting")
def shadowed_setting(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A value that another file takes the effect from.

    What the machine saved wins over the hand by design: that is no fault, and `tree` shows it.
    """
    for setting in subject.tree.settings():
        if len(setting.occurrences) < 2 or setting.effective.author == "machine":
            continue
        for group in _groups(setting):
            last = group[-1]
            if setting.effective not in group and last.author == "hand":
                yield from _shadowed(setting, last)


def _shadowed(setting: Setting, shadowed: Occurrence) -> Iterator[Problem]:
    winner = setting.effective
    where = f"{winner.file}:{winner.key_place.line}"
    if _same(shadowed, winner):
        message = f"{_title(setting)} is set to the same value again in {where}"
    else:
        message = f"{_title(setting)} has no effect: {where} sets it to {_shown(winner)}"
    severity = Severity.NOTE if _same(shadowed, winner) else None
    subject = f"{shadowed.file} {setting.section} {setting.key}"
    yield Problem(shadowed.place, message, subject, (winner.place,), severity=severity)


def _groups(setting: Setting) -> Iterable[list[Occurrence]]:
    """The occurrences by file and author, each group in reading order."""
    groups: dict[tuple[str, str], list[Occurrence]] = {}
    for one in setting.occurrences:
        groups.setdefault((one.file, one.author), []).append(one)
    return groups.values()


def _same(one: Occurrence, other: Occurrence) -> bool:
    return one.value.split() == other.value.split()


def _title(setting: Setting) -> str:
    return f"[{setting.section}] {setting.name}" if setting.section else setting.name


def _shown(occurrence: Occurrence) -> str:
    """The value in one short line."""
    lines = occurrence.value.splitlines()
    if not lines:
        return "the empty value"
    text = lines[0]
    return f"{text[:40]} ..." if len(lines) > 1 or len(text) > 40 else text
