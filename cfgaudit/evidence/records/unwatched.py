"""Settings of what was measured that nobody understands: whether they change is not watched."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.evidence.records.dependencies import kinds_that_depend, members, settings_digest
from cfgaudit.evidence.records.record import MeasurementKind, Record, carried
from cfgaudit.evidence.records.rereading import digest
from cfgaudit.machine.model import Machine
from cfgaudit.tree.config_tree import Setting
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.reading import Reading, SectionReading
from cfgaudit.vocabulary.stated import STATED_NONE

WATCHED = frozenset({"axis", "motor", "driver", "heater", "sensor", "probe"})
"""The kinds of parts whose own settings count. What else goes with an axis holds none that do."""


def unwatched(kind: MeasurementKind, part: str, machine: Machine) -> tuple[Setting, ...]:
    """The settings without a role in the sections of what a measurement of ``part`` is of.

    Those that ``cfgaudit.toml`` says to have none are understood.
    """
    found: dict[tuple[str, str], Setting] = {}
    for section in _sections(kind, part, machine):
        for one in section.readings:
            if not _understood(one):
                found.setdefault((fold_name(one.setting.section), one.setting.key), one.setting)
    return tuple(found.values())


def changed_unwatched(record: Record, part: str, machine: Machine) -> tuple[Setting, ...]:
    """Those of them that are not among what the record knows to have stood there, by digest.

    ``part`` is what the record's part is called now. Of a section that the record knows nothing of nothing is
    told: it may have had another name.
    """
    then = frozenset(record.unread.split())
    if not then or record.digest == settings_digest(machine.reading.tree):
        return ()
    counted = {(fold_name(one.section), fold_name(one.setting)) for one in (*record.depends, *record.chosen)}
    known = {section for section, _ in counted}
    found: list[Setting] = []
    for section in _sections(record.kind, part, machine):
        digests = [(one, digest(one.setting)) for one in section.readings]
        name = fold_name(carried(section.section.name))
        if name not in known and then.isdisjoint(written for _, written in digests):
            continue
        found += [
            one.setting
            for one, written in digests
            if written not in then and not _understood(one) and (name, one.setting.key) not in counted
        ]
    return tuple(found)


def _sections(kind: MeasurementKind, part: str, machine: Machine) -> Iterator[SectionReading]:
    if kind not in kinds_that_depend():
        return
    own = {id(one.section) for one in members(kind, part, machine) if one.kind in WATCHED}
    yield from (one for one in machine.reading.sections if id(one.section) in own)


def _understood(one: Reading) -> bool:
    return one.role is not None or bool(one.senses) or one.why == STATED_NONE
