"""How grave a change is, and what it means: from its role, its part and its direction."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from typing import NamedTuple

from cfgaudit.checks.finding import Severity
from cfgaudit.history.comparing.alias_pairs import alias_pairs
from cfgaudit.history.comparing.directions import amount_of, directions_of
from cfgaudit.history.comparing.lost_ties import LostTies
from cfgaudit.history.comparing.pairing import Difference, Pairing
from cfgaudit.history.comparing.roles_of_parts import PartRoles
from cfgaudit.history.comparing.weights import Weight, Weights, load_weights
from cfgaudit.machine.aliases import alias_key
from cfgaudit.machine.model import Machine, Meaning, Part, Reference
from cfgaudit.tree.config_tree import Section
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
        self._ties = LostTies(pairing)

    @property
    def _weights(self) -> Weights:
        return load_weights()

    def setting(self, differences: Iterable[Difference]) -> Verdict | None:
        """The gravest of a setting's differences, the first of equal ones; None where there is none."""
        return _worst(verdict for one in differences for verdict in self._difference(one))

    def section(self, section: Section, direction: str, differences: Iterable[Difference]) -> Verdict:
        """A section that came or went: the worst of what its kind of part and its contents deserve."""
        added = direction == "added"
        machine = (self._pairing.after if added else self._pairing.before).machine
        parts = machine.index.by_section.get(id(section), ())
        own = [verdict for part in parts for verdict in self._part(part, direction)]
        whole = any(part.get(role) for part in parts for role in self._weights.whole.get(part.kind, ()))
        inner = None if whole and not added else self.setting(differences)
        worst = _worst([*own, *([inner] if inner is not None else [])])
        if worst is None:
            return Verdict()
        head = self.concern_of(parts[0].kind) if parts else STRUCTURE
        worst = worst._replace(concern=worst.concern if head == STRUCTURE else head)
        return worst if added else self._without_its_heater(worst, parts)

    def _without_its_heater(self, verdict: Verdict, parts: Sequence[Part]) -> Verdict:
        """What served a heater that is gone, too, harms nobody by being gone."""
        heaters = [heater for part in parts for heater in self._old.heaters(part)]
        gone = heaters and not any(one.section.key in self._pairing.pairs for one in heaters)
        if not gone or verdict.severity is not Severity.DANGER:
            return verdict
        why = self.words("heater_gone").replace("{heater}", heaters[0].title)
        return verdict._replace(severity=Severity.WARNING, why=why)

    def renamed_section(self, before: Section) -> Verdict | None:
        """What a section loses with its name: the gravest link that nothing else made."""
        return _worst(verdict for link in self._ties.of(before) for verdict in self._lost(link))

    def _lost(self, link: Reference) -> Iterator[Verdict]:
        role = f"ref.{link.kind}"
        weight = self._weights.of(role, self._old.kinds(link.origin), "removed")
        if weight is not None and weight.severity is not Severity.NOTE:
            heater = self._old.heater(link.origin)
            yield Verdict(
                weight.severity, self.concern(role, link.origin.kind), _fill(weight.why, link.origin, heater)
            )

    def concern_of(self, kind: str) -> str:
        """The concern of a section that describes a part of this kind."""
        return self._weights.section_concerns.get(kind, STRUCTURE)

    def concern(self, role: str | None, *kinds: str) -> str:
        """The concern of a role in a part that is of these kinds."""
        return self._weights.concern(role or "", kinds) or STRUCTURE

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
            if other is not None and not self._pairing.same_place(other, meaning):
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
        for direction in directions_of(one, self._pairing, self._weights):
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
                kinds = roles.kinds(part, meaning)
                weight = self._weights.of(one.role, kinds, direction)
                if weight is not None:
                    severity, why = weight.reached(before, after)
                    why = _fill(why, part, roles.heater(part))
                    concern = self.concern(one.role, *kinds)
                    yield Verdict(
                        severity, concern, why, one.role, one.axis, part.kind, _relative(before, after)
                    )


def _through(machine: Machine, names: Container[str]) -> Iterator[Meaning]:
    """The meanings whose pins are given by one of these aliases."""
    for pins in machine.pins.values():
        for uses in pins.values():
            yield from (use.meaning for use in uses if use.via is not None and use.via.key in names)


def _said(meaning: Meaning) -> tuple[str, str, str, str | None]:
    return meaning.setting.section, meaning.setting.key, meaning.role, meaning.axis


def _relative(before: float | None, after: float | None) -> float | None:
    return after / before - 1 if before and after else None


def _fill(why: str, part: Part, heater: str) -> str:
    return why.replace("{part}", part.title).replace("{heater}", heater or ITS_HEATER)


def _worst(verdicts: Iterable[Verdict]) -> Verdict | None:
    return min(verdicts, key=lambda one: one.severity.rank, default=None)
