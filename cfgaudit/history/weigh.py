"""How grave a change is, and what it means: from its role, its part and its direction."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from typing import NamedTuple

from cfgaudit.checks.finding import Severity
from cfgaudit.history.alias_pairs import alias_pairs
from cfgaudit.history.forms import RATIOS, pin_words, ratio_of
from cfgaudit.history.pairing import Difference, Pairing
from cfgaudit.history.roles_of_parts import PartRoles
from cfgaudit.history.weights import Weight, Weights, load_weights
from cfgaudit.machine.aliases import alias_key
from cfgaudit.machine.celsius import celsius
from cfgaudit.machine.model import Machine, Meaning, Part, PinUse
from cfgaudit.syntax.value import Dimension, Number
from cfgaudit.tree.config_tree import Section
from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.reading import Reading

STRUCTURE = "structure"
ITS_HEATER = "its heater"


class Verdict(NamedTuple):
    """What one difference comes to."""

    severity: Severity = Severity.NOTE
    concern: str = STRUCTURE
    why: str = ""
    role: str | None = None
    axis: str | None = None
    part: str = ""
    relative: float | None = None


class Scales:
    """Weighs what differs between two machines."""

    def __init__(self, pairing: Pairing) -> None:
        self._pairing = pairing
        self._old, self._new = PartRoles(pairing.before.machine), PartRoles(pairing.after.machine)

    @property
    def _weights(self) -> Weights:
        return load_weights()

    def setting(self, differences: Iterable[Difference]) -> Verdict | None:
        """The gravest of a setting's differences, the first of equal ones; None where there is none."""
        return _worst(verdict for one in differences for verdict in self._difference(one))

    def section(self, section: Section, direction: str, differences: Iterable[Difference]) -> Verdict:
        """A section that came or went: the worst of what its kind of part and its contents deserve."""
        machine = (self._pairing.after if direction == "added" else self._pairing.before).machine
        parts = machine.index.by_section.get(id(section), ())
        own = [verdict for part in parts for verdict in self._part(part, direction)]
        inner = self.setting(differences)
        worst = _worst([*own, *([inner] if inner is not None else [])])
        if worst is None:
            return Verdict()
        head = next(iter(parts), None)
        concern = self.concern_of(head.kind) if head is not None else STRUCTURE
        return worst._replace(concern=worst.concern if concern == STRUCTURE else concern)

    def concern_of(self, kind: str) -> str:
        """The concern of a section that describes a part of this kind."""
        return self._weights.section_concerns.get(kind, STRUCTURE)

    def concern(self, role: str | None) -> str:
        """The concern of a role."""
        return self._weights.concerns.get(role or "", STRUCTURE)

    def words(self, name: str) -> str:
        """The words of the table for what is said of any change."""
        return self._weights.words[name]

    def alias(self, direction: str, users: Iterable[Difference] = ()) -> Verdict:
        """A name for a pin: what it comes to in itself, and for those that use it."""
        weight = self._weights.of("alias", (), direction) or Weight(Severity.NOTE)
        own = Verdict(weight.severity, self.concern("alias"), weight.why, part="alias")
        worst = self.setting(users)
        if worst is None or worst.severity.rank >= own.severity.rank:
            return own
        return own._replace(severity=worst.severity, why=worst.why)

    def users(self, left: Reading, right: Reading) -> Iterator[Difference]:
        """What uses the names that a setting of an alias section gives, where they lead elsewhere now."""
        names = {*alias_pairs(left.setting), *alias_pairs(right.setting)}
        names |= {alias_key(left.setting.name), alias_key(right.setting.name)}
        before = {_said(one): one for one in _through(self._pairing.before.machine, names)}
        for meaning in _through(self._pairing.after.machine, names):
            other = before.get(_said(meaning))
            if other is not None and self._pairing.old.of_meaning(other) != self._pairing.new.of_meaning(
                meaning
            ):
                yield Difference(meaning.role, meaning.axis, other, meaning)

    def _part(self, part: Part, direction: str) -> Iterator[Verdict]:
        roles = self._new if direction == "added" else self._old
        for kind in roles.kinds(part):
            weight = self._weights.sections.get((kind, direction))
            if weight is not None:
                why = _fill(weight.why, part, roles.heater(part))
                yield Verdict(weight.severity, self.concern_of(kind), why)
                return

    def _difference(self, one: Difference) -> Iterator[Verdict]:
        """A verdict for each direction in which the meaning changed, as the part that suffers most."""
        for direction in self._directions(one):
            verdict = _worst(self._as_parts(one, direction))
            if verdict is not None:
                yield verdict

    def _as_parts(self, one: Difference, direction: str) -> Iterator[Verdict]:
        sides = (
            (one.right, self._pairing.new, self._new),
            (one.left, self._pairing.old, self._old),
        )
        before, after = amount_of(one.left), amount_of(one.right)
        for meaning, forms, roles in sides:
            for part in forms.holders(meaning) if meaning is not None else ():
                weight = self._weights.of(one.role, roles.kinds(part, meaning), direction)
                if weight is not None:
                    severity, why = _reached(weight, before, after)
                    why = _fill(why, part, roles.heater(part))
                    concern = self.concern(one.role)
                    yield Verdict(
                        severity, concern, why, one.role, one.axis, part.kind, _relative(before, after)
                    )

    def _directions(self, one: Difference) -> Iterator[str]:
        if one.left is None or one.right is None:
            yield "added" if one.left is None else "removed"
        elif one.role.startswith("pin."):
            yield from self._pin_directions(one.left, one.right)
        else:
            yield _number_direction(amount_of(one.left), amount_of(one.right))

    def _pin_directions(self, left: Meaning, right: Meaning) -> Iterator[str]:
        old, new = self._pairing.old.uses(left), self._pairing.new.uses(right)
        inverted = self._inversions(old) != self._inversions(new)
        if inverted:
            yield "inverted"
        if not inverted or [(use.board, use.key) for use in old] != [(use.board, use.key) for use in new]:
            yield "changed"

    def _inversions(self, uses: Iterable[PinUse]) -> list[bool]:
        """For each use whether it is inverted: an even number of marks and words is none."""
        return [self._count(use) % 2 == 1 for use in uses]

    def _count(self, use: PinUse) -> int:
        pins = [use.pin] if use.via is None else [use.pin, use.via.pin]
        count = 0
        for pin in pins:
            marks, words = pin_words(pin)
            count += sum(mark in self._weights.inverting_marks for mark in marks)
            count += any(word in self._weights.inverting_words for word in words)
        return count


def _through(machine: Machine, names: Container[str]) -> Iterator[Meaning]:
    """The meanings whose pins are given by one of these aliases."""
    for pins in machine.pins.values():
        for uses in pins.values():
            yield from (use.meaning for use in uses if use.via is not None and use.via.key in names)


def _said(meaning: Meaning) -> tuple[str, str, str, str | None]:
    return meaning.setting.section, meaning.setting.key, meaning.role, meaning.axis


def amount_of(meaning: Meaning | None) -> float | None:
    """The single number of a meaning in its base unit, of gears and microsteps what they come to."""
    if meaning is None:
        return None
    if meaning.role in RATIOS:
        return ratio_of(meaning.value, meaning.role)
    spec = ROLES.get(meaning.role)
    if spec is not None and spec.dimension is Dimension.TEMPERATURE and meaning.role.startswith("temp."):
        return celsius(meaning)
    return meaning.amount if isinstance(meaning.value, Number) else None


def _number_direction(before: float | None, after: float | None) -> str:
    if before is None or after is None or before == after:
        return "changed"
    return "raised" if after > before else "lowered"


def _relative(before: float | None, after: float | None) -> float | None:
    return after / before - 1 if before and after else None


def _reached(weight: Weight, before: float | None, after: float | None) -> tuple[Severity, str]:
    much = weight.much
    if much is None or before is None or after is None or not much.reached(before, after):
        return weight.severity, weight.why
    return much.severity, much.why


def _fill(why: str, part: Part, heater: str) -> str:
    return why.replace("{part}", part.title).replace("{heater}", heater or ITS_HEATER)


def _worst(verdicts: Iterable[Verdict]) -> Verdict | None:
    return min(verdicts, key=lambda one: one.severity.rank, default=None)
