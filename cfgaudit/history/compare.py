"""Two machines to their differences."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Severity, Subject
from cfgaudit.history.change import Change, ChangeKind, Side, Written
from cfgaudit.tree.config_tree import Section, Setting
from cfgaudit.vocabulary.reading import Reading, SectionReading


def compare_machines(before: Subject, after: Subject) -> tuple[Change, ...]:
    """Every difference that is one: by concern, the dangerous first; without consequences and commits."""
    old = {section.section.key: section for section in before.reading.sections}
    new = {section.section.key: section for section in after.reading.sections}
    return (
        *(_whole(ChangeKind.REMOVED, one, None) for key, one in old.items() if key not in new),
        *(_whole(ChangeKind.ADDED, None, one) for key, one in new.items() if key not in old),
        *(change for key, one in new.items() if key in old for change in _settings(old[key], one)),
    )


def _settings(before: SectionReading, after: SectionReading) -> Iterator[Change]:
    old = {one.setting.key: one for one in before.readings}
    new = {one.setting.key: one for one in after.readings}
    for key in {**new, **old}:
        left, right = old.get(key), new.get(key)
        if left is None or right is None or left.setting.value != right.setting.value:
            kind = (
                ChangeKind.ADDED
                if left is None
                else ChangeKind.REMOVED
                if right is None
                else ChangeKind.CHANGED
            )
            yield _one(kind, left, right, after)


def _one(kind: ChangeKind, left: Reading | None, right: Reading | None, section: SectionReading) -> Change:
    shown = right or left
    assert shown is not None
    part = section.parts[0].kind if section.parts else ""
    return Change(
        kind,
        "structure",
        Severity.NOTE,
        shown.setting.section,
        shown.setting.name,
        shown.role,
        shown.axis,
        part,
        left and side_of(left.setting),
        right and side_of(right.setting),
        author=shown.setting.effective.author,
    )


def _whole(kind: ChangeKind, left: SectionReading | None, right: SectionReading | None) -> Change:
    shown = right or left
    assert shown is not None
    part = shown.parts[0].kind if shown.parts else ""
    return Change(
        kind,
        "structure",
        Severity.NOTE,
        shown.section.name,
        "",
        None,
        shown.axis,
        part,
        left and side_of_section(left.section),
        right and side_of_section(right.section),
    )


def side_of(setting: Setting) -> Side:
    """A setting as one side of its change."""
    return Side(setting.section, setting.place, (_written(setting),))


def side_of_section(section: Section) -> Side:
    """A section, all its settings included, as one side of its change."""
    place = section.place or section.settings[0].place
    return Side(section.name, place, tuple(_written(one) for one in section.settings))


def _written(setting: Setting) -> Written:
    return Written(setting.section, setting.name, setting.value, setting.place, setting.effective.author)
