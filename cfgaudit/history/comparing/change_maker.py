"""Differences made into changes."""

from __future__ import annotations

from collections.abc import Container, Iterator

from cfgaudit.checks.finding import Severity
from cfgaudit.history.change import Change, ChangeKind
from cfgaudit.history.comparing.alias_pairs import alias_pairs, is_renaming, told_renaming
from cfgaudit.history.comparing.pairing import Couple, Loose, Pairing
from cfgaudit.history.comparing.shadowed import Shadowed, shadowed_changes
from cfgaudit.history.comparing.sides import author_of_section, side_of, side_of_occurrence, side_of_section
from cfgaudit.history.comparing.weigh import Scales, Verdict
from cfgaudit.tree.config_tree import Occurrence
from cfgaudit.vocabulary.reading import SectionReading


class ChangeMaker:
    """Makes changes of what differs between two machines."""

    def __init__(self, pairing: Pairing) -> None:
        self._pairing = pairing
        self._scales = Scales(pairing)

    def changed(self, couple: Couple) -> Change:
        """A setting that says something else."""
        left, right = couple.left, couple.right
        if is_alias(couple.after):
            return self._alias(couple)
        verdict = self._scales.setting(self._pairing.differences(left, right)) or self._plain(couple)
        kind = ChangeKind.CHANGED if left.role or right.role or verdict.role else ChangeKind.TEXT
        return self._setting(kind, couple, verdict)

    def renamed(self, couple: Couple) -> Change:
        """A setting that has another key and says the same."""
        why = self._scales.words("renamed").replace("{name}", couple.left.setting.name)
        return self._setting(ChangeKind.RENAMED, couple, self._plain(couple, why))

    def moved(self, couple: Couple) -> Change:
        """A setting that stands in another section and says the same."""
        why = self._scales.words("moved").replace("{name}", couple.left.setting.section)
        return self._setting(ChangeKind.MOVED, couple, self._plain(couple, why))

    def added(self, one: Loose, merged: bool) -> Change:
        """A setting that the section had not. ``merged``: it names what was part of its section."""
        if merged:
            return self._single(ChangeKind.ADDED, one, self._of_loose(one, "added"))
        verdict = self._scales.setting(self._pairing.differences(None, one.reading))
        return self._single(ChangeKind.ADDED, one, verdict or self._of_loose(one, "added"))

    def removed(self, one: Loose, merged: bool) -> Change:
        """A setting that the section has no more. ``merged``: it named what is part of its section."""
        if merged:
            return self._single(ChangeKind.REMOVED, one, self._of_loose(one, "removed"))
        verdict = self._scales.setting(self._pairing.differences(one.reading, None))
        return self._single(ChangeKind.REMOVED, one, verdict or self._of_loose(one, "removed"))

    def is_grave(self, one: Loose) -> bool:
        """Whether it would be a danger if a setting were gone."""
        verdict = self._scales.setting(self._pairing.differences(one.reading, None))
        return verdict is not None and verdict.severity is Severity.DANGER

    def shadowed(self, couple: Couple) -> Iterator[Change]:
        """What was changed in the places of a setting that have no effect."""
        left, right = couple.left, couple.right
        for one in shadowed_changes(left.setting, right.setting, right.role or left.role):
            yield self._without_effect(couple, one)

    def added_section(self, section: SectionReading, counted: Container[int], merged: bool) -> Change:
        """A section that came as a whole; settings that are not ``counted`` came from elsewhere.

        ``merged``: all of it did.
        """
        inner = (one for one in section.readings if id(one) in counted)
        differences = (each for one in inner for each in self._pairing.differences(None, one))
        verdict = self._scales.section(section.section, "added", differences)
        return self._section(ChangeKind.ADDED, None, section, self._merged(verdict) if merged else verdict)

    def removed_section(self, section: SectionReading, counted: Container[int], merged: bool) -> Change:
        """A section that went as a whole; settings that are not ``counted`` are elsewhere now.

        ``merged``: all of it is.
        """
        inner = (one for one in section.readings if id(one) in counted)
        differences = (each for one in inner for each in self._pairing.differences(one, None))
        verdict = self._scales.section(section.section, "removed", differences)
        return self._section(ChangeKind.REMOVED, section, None, self._merged(verdict) if merged else verdict)

    def _merged(self, verdict: Verdict) -> Verdict:
        return verdict._replace(severity=Severity.NOTE, why=self._scales.words("merged"))

    def renamed_section(self, before: SectionReading, after: SectionReading) -> Change:
        """A section that has another name; what else differs in it are changes of their own."""
        why = self._scales.words("renamed").replace("{name}", before.section.name)
        verdict = Verdict(concern=self._scales.concern_of(head_of(after)), why=why)
        lost = self._scales.renamed_section(before.section)
        if lost is not None:
            verdict = lost._replace(why=f"{why}: {lost.why}")
        return self._section(ChangeKind.RENAMED, before, after, verdict)

    def _plain(self, couple: Couple, why: str = "") -> Verdict:
        """A note in the concern of the setting's role."""
        role = couple.right.role or couple.left.role
        axis = couple.right.axis or couple.after.axis
        head = head_of(couple.after)
        concern = self._scales.concern("alias" if is_alias(couple.after) else role, head)
        return Verdict(Severity.NOTE, concern, why, role, axis, head)

    def _of_loose(self, one: Loose, direction: str) -> Verdict:
        if is_alias(one.section):
            return self._scales.alias(direction)._replace(part="alias")
        role, axis = one.reading.role, one.reading.axis or one.section.axis
        head = head_of(one.section)
        return Verdict(Severity.NOTE, self._scales.concern(role, head), "", role, axis, head)

    def _alias(self, couple: Couple) -> Change:
        """A name for a pin, or a setting that holds several."""
        old = alias_pairs(couple.left.setting, self._pairing.old.renames)
        new = alias_pairs(couple.right.setting)
        if is_renaming(old, new):
            why = told_renaming(couple.left.setting, couple.right.setting, self._pairing.old.renames)
            return self._setting(ChangeKind.RENAMED, couple, self._plain(couple, why))
        verdict = self._scales.alias("changed", self._scales.users(couple.left, couple.right))
        return self._setting(ChangeKind.CHANGED, couple, verdict._replace(part="alias"))

    def _without_effect(self, couple: Couple, one: Shadowed) -> Change:
        kind = _kind(one.left, one.right)
        right = couple.right.setting
        effective = right.effective
        itself = one.right is effective
        machine = effective.author == "machine"
        words = "same" if itself else "shadowed_by_machine" if machine else "shadowed"
        place = effective.place
        why = self._scales.words(words).replace("{place}", f"{place.file}:{place.line}")
        verdict = self._plain(couple, why)
        change = self._setting(kind, couple, verdict)
        newest = one.right or one.left
        return change._replace(
            before=side_of_occurrence(couple.left.setting, one.left) if one.left is not None else None,
            after=side_of_occurrence(right, one.right) if one.right is not None else None,
            effective=False,
            author=newest.author if newest is not None else change.author,
        )

    def _setting(self, kind: ChangeKind, couple: Couple, verdict: Verdict) -> Change:
        left, right = couple.left.setting, couple.right.setting
        return Change(
            kind,
            verdict.concern,
            verdict.severity,
            right.section,
            right.name,
            verdict.role,
            verdict.axis,
            verdict.part or head_of(couple.after),
            side_of(left),
            side_of(right),
            verdict.why,
            verdict.relative,
            author=right.effective.author,
        )

    def _single(self, kind: ChangeKind, one: Loose, verdict: Verdict) -> Change:
        setting = one.reading.setting
        side, is_new = side_of(setting), kind is ChangeKind.ADDED
        return Change(
            kind,
            verdict.concern,
            verdict.severity,
            setting.section,
            setting.name,
            verdict.role,
            verdict.axis,
            verdict.part or head_of(one.section),
            None if is_new else side,
            side if is_new else None,
            verdict.why,
            author=setting.effective.author,
        )

    def _section(
        self, kind: ChangeKind, left: SectionReading | None, right: SectionReading | None, verdict: Verdict
    ) -> Change:
        shown = right or left
        assert shown is not None
        return Change(
            kind,
            verdict.concern,
            verdict.severity,
            shown.section.name,
            "",
            None,
            shown.axis,
            head_of(shown),
            left and side_of_section(left.section),
            right and side_of_section(right.section),
            verdict.why,
            author=author_of_section(shown.section),
        )


def head_of(section: SectionReading) -> str:
    """The kind of the part that a section describes first; empty where no word names one."""
    return section.parts[0].kind if section.parts else ""


def is_alias(section: SectionReading) -> bool:
    """Whether a section gives names to pins."""
    return head_of(section) == "alias"


def _kind(left: Occurrence | None, right: Occurrence | None) -> ChangeKind:
    if left is None:
        return ChangeKind.ADDED
    return ChangeKind.REMOVED if right is None else ChangeKind.CHANGED
