"""What settings were called before a commit that renamed or moved them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cfgaudit.checks.finding import Subject
from cfgaudit.history.change import Change
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.over_time.passages import Key, section_key, setting_key


def former_names(before: Subject, after: Subject) -> Mapping[Key, Key]:
    """For each setting that has another name, or stands in another section, what it was called before."""
    found: dict[Key, Key] = {}
    changes = [one for one in compare_machines(before, after) if one.before and one.after]
    for change in changes:
        if not change.setting:
            found |= _in_section(change)
    for change in changes:
        if change.setting:
            found |= dict(_of_one(change))
    return found


def _in_section(change: Change) -> Mapping[Key, Key]:
    """The settings that a renamed section has before and after."""
    assert change.before is not None
    assert change.after is not None
    old, new = section_key(change.before.section), section_key(change.after.section)
    held = {setting_key(one.setting) for one in change.before.settings}
    keys = (setting_key(one.setting) for one in change.after.settings)
    return {(new, key): (old, key) for key in keys if key in held}


def _of_one(change: Change) -> Iterator[tuple[Key, Key]]:
    assert change.before is not None
    assert change.after is not None
    for one, other in zip(change.before.settings, change.after.settings, strict=False):
        old = section_key(one.section), setting_key(one.setting)
        new = section_key(other.section), setting_key(other.setting)
        if old != new:
            yield new, old
