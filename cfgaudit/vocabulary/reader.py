"""Settings to readings, one tree at a time."""

from __future__ import annotations

from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.value import Text, Value
from cfgaudit.tree.config_tree import Section, Setting
from cfgaudit.vocabulary.amounts import in_unit_of, in_unit_of_name
from cfgaudit.vocabulary.catalogue import NO_ROLE, ROLES
from cfgaudit.vocabulary.decide import Decision, Judge
from cfgaudit.vocabulary.reading import Reading
from cfgaudit.vocabulary.sections import SectionKind
from cfgaudit.vocabulary.senses import further_senses, range_ends
from cfgaudit.vocabulary.shapes import Fit, Resolves, first_piece, fit
from cfgaudit.vocabulary.stated import STATED, STATED_NONE, stated_role


class Reader:
    """Reads settings of one tree. What a name and a value say in sections of one kind is worked out once."""

    def __init__(self, judge: Judge, resolves: Resolves) -> None:
        self._judge, self._resolves = judge, resolves
        self._words = judge.words
        self._read: dict[tuple[str, str, str, frozenset[str]], Reading] = {}
        self._of_pins: dict[tuple[str, str, frozenset[str]], Decision] = {}

    def readings(self, section: Section, kind: SectionKind) -> tuple[Reading, ...]:
        """Every setting of a section, taken to be of this kind."""
        if kind.head == "alias":
            return tuple(_alias(setting) for setting in section.settings)
        return tuple(self._reading(setting, kind) for setting in section.settings)

    def _reading(self, setting: Setting, kind: SectionKind) -> Reading:
        stated = stated_role(setting, self._words) if self._words.overrides.roles else None
        if stated is not None:
            return self._carry_out(self._as_stated(stated, setting), setting, kind)
        at = (setting.name, setting.value, kind.head, kind.own)
        known = self._read.get(at)
        if known is not None:
            return known._replace(setting=setting)
        reading = self._read[at] = self._carry_out(self._decide(setting, kind), setting, kind)
        return reading

    def _as_stated(self, stated: str, setting: Setting) -> Decision:
        if stated == NO_ROLE:
            return Decision(None, None, STATED_NONE)
        role, _, axis = stated.partition(" ")
        text = setting.value
        fitting = fit(role, text, read_value(text), ROLES[role], self._resolves)
        return Decision(role, axis or None, STATED, fitting is not Fit.NO)

    def _decide(self, setting: Setting, kind: SectionKind) -> Decision:
        """To the words one pin is like any other: what they say of it is decided once."""
        name, text = setting.name, setting.value
        value = read_value(text)
        if not self._is_only_pin(text, value) or kind.head == "macro":
            return self._judge.decide(name, text, value, kind, self._resolves)
        at = (name, kind.head, kind.own)
        if at not in self._of_pins:
            self._of_pins[at] = self._judge.decide(name, text, value, kind, self._resolves)
        return self._of_pins[at]

    def _is_only_pin(self, text: str, value: Value) -> bool:
        """Whether a value is one chip's pin and nothing more, and no part or alias has it for a name."""
        lone = isinstance(value, Text) and first_piece(text) == text
        return lone and is_chip_pin(text) and not self._resolves(text)

    def _carry_out(self, decision: Decision, setting: Setting, kind: SectionKind) -> Reading:
        text = setting.value
        value = read_value(text)
        if decision.role is None:
            return Reading(setting, value, None, decision.axis, decision.why)
        value = in_unit_of_name(decision.role, value, self._judge.said(setting.name).unit)
        value, ends = range_ends(decision.role, text, value)
        value = in_unit_of(decision.role, value) if decision.fits else value
        senses = ends or tuple(further_senses(decision.role, text, value, kind, self._judge, self._resolves))
        return Reading(setting, value, decision.role, decision.axis, decision.why, decision.fits, senses)


def _alias(setting: Setting) -> Reading:
    return Reading(setting, read_value(setting.value), None, None, "a name for a pin")
