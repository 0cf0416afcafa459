"""Which change a new finding is owed to, where that is certain."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property

from cfgaudit.audit import Audit
from cfgaudit.checks.finding import Finding
from cfgaudit.history.change import Change, ChangeKind
from cfgaudit.history.comparing.losses import Losses
from cfgaudit.history.comparing.weights import load_weights
from cfgaudit.history.comparing.written import key_of_name
from cfgaudit.machine.model import Machine
from cfgaudit.syntax.document import Place

Line = tuple[str, int]
"""A file, and a line of it."""
Key = tuple[str, str]
"""A setting: its section's and its own name, folded."""


def with_findings(
    changes: Sequence[Change], new: Iterable[Finding], before: Audit, after: Audit
) -> tuple[Change, ...]:
    """The changes, each with the new findings that it caused.

    It did if one of their places is one of its own; or if it took away what the finding misses there; or if
    what stands at the finding's place named, before, what the change took away or renamed. A finding may have
    several causes.
    """
    causes = _Causes(changes, before, after)
    found: defaultdict[int, list[Finding]] = defaultdict(list)
    for finding in new:
        for number in causes.of(finding):
            found[number].append(finding)
    return tuple(one._replace(findings=tuple(found[number])) for number, one in enumerate(changes))


class _Causes:
    """Tables to look causes up in."""

    def __init__(self, changes: Sequence[Change], before: Audit, after: Audit) -> None:
        self._changes = changes
        self._by_line = _by_line(changes)
        self._gone = _gone_sections(changes)
        self._before, self._after = before, after

    @cached_property
    def _named(self) -> Mapping[Key, set[str]]:
        return _named_sections(self._before.machine)

    @cached_property
    def _settings(self) -> Mapping[Line, set[Key]]:
        return _settings_by_line(self._after)

    @cached_property
    def _losses(self) -> Losses:
        return Losses(self._changes, self._before.machine, self._after.machine)

    def of(self, finding: Finding) -> Sequence[int]:
        """The numbers of the changes that caused a finding, in their order."""
        places = (finding.where, *finding.related)
        standing = {number for place in places for number in self._at(place)}
        if any(self._changes[number].effective for number in standing):
            standing = {number for number in standing if self._changes[number].effective}
        return sorted(standing or set(self._taken_away(finding)))

    def _at(self, place: Place) -> Iterator[int]:
        for line in _lines(place):
            yield from self._by_line.get(line, ())

    def _taken_away(self, finding: Finding) -> Iterator[int]:
        """The changes after which something is missing that was named at a finding's place, or that named it.

        Where the finding says what it misses, only those that took such a thing.
        """
        missed = load_weights().lacking.get(finding.rule)
        if missed is None and not self._gone:
            return
        for section, setting in self._keys(finding.where):
            if missed is not None:
                yield from self._losses.missed_at(section, missed)
                continue
            for named in self._named.get((section, setting), ()):
                yield from self._gone.get(named, ())

    def _keys(self, place: Place) -> Iterator[Key]:
        for line in _lines(place):
            yield from self._settings.get(line, ())


def _by_line(changes: Sequence[Change]) -> Mapping[Line, Sequence[int]]:
    """The numbers of the changes at each line of the files as they are now."""
    table: defaultdict[Line, list[int]] = defaultdict(list)
    for number, change in enumerate(changes):
        side = change.after
        if side is None or (change.kind is ChangeKind.RENAMED and not change.setting):
            continue
        places = [one.where for one in side.settings]
        for place in places if change.setting else [side.where, *places]:
            for line in _lines(place):
                table[line].append(number)
    return table


def _lines(place: Place) -> Iterator[Line]:
    return ((place.file, number) for number in range(place.line, max(place.line, place.end_line) + 1))


def _gone_sections(changes: Sequence[Change]) -> Mapping[str, Sequence[int]]:
    """The sections that nothing has any more under their name, and the changes that took them away."""
    table: defaultdict[str, list[int]] = defaultdict(list)
    for number, change in enumerate(changes):
        whole = not change.setting and change.before is not None
        if whole and change.before and change.kind in (ChangeKind.REMOVED, ChangeKind.RENAMED):
            table[key_of_name(change.before.section)].append(number)
    return table


def _named_sections(machine: Machine) -> Mapping[Key, set[str]]:
    """For each setting the sections of the parts that it names; for a section itself (its setting empty)
    those that name its parts."""
    table: defaultdict[Key, set[str]] = defaultdict(set)
    for one in machine.references:
        if one.target is None:
            continue
        origin, target = one.origin.section.key, one.target.section.key
        if one.meaning is not None:
            table[origin, one.meaning.setting.key].add(target)
        table[target, ""].add(origin)
    for macro in machine.macros:
        for call in macro.calls:
            if call.target is not None and macro.body is not None:
                table[macro.part.section.key, macro.body.setting.key].add(call.target.part.section.key)
    return table


def _settings_by_line(audit: Audit) -> Mapping[Line, set[Key]]:
    """The settings, and the headers of sections, at each line of the files as they are now."""
    table: defaultdict[Line, set[Key]] = defaultdict(set)
    for section in audit.tree.sections:
        for opening in section.openings:
            for line in _lines(opening.place):
                table[line].add((section.key, ""))
        for setting in section.settings:
            for line in _lines(setting.place):
                table[line].add((section.key, setting.key))
    return table
