"""What a section is, read from its settings: where its name does not say it, or only suggests it."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.syntax.read_value import read_value
from cfgaudit.tree.config_tree import Section
from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.decide import GCODE_LINE, Judge
from cfgaudit.vocabulary.reading import Reading
from cfgaudit.vocabulary.sections import EXTRUDER, SectionKind, kinds_of

Values = Callable[[], frozenset[str]]
NOTHING: frozenset[str] = frozenset()
VAGUE = frozenset({"pin.other", "ref.board", "ref.axis"})
"""Roles that say nothing of the part."""
EXTRUDING = frozenset({"hotend", "extruder", "extrude"})
FEW = 3
"""One setting in so many must bear an inference out."""
SEVERAL = 4
"""Settings: fewer outvote no section's name."""
FEWEST = 2
"""Settings from which a kind may be inferred."""


def settle_kind(section: Section, kind: SectionKind, judge: Judge, values: Values) -> SectionKind:
    """The kind that a section's settings bear out best; ``kind`` itself where the name says it.

    ``values`` gives every value of the tree, folded: a name for a pin is used somewhere.
    """
    if kind.fixed or (kind.head and not kind.implied):
        return kind
    if _names_pins(section) and any(setting.key in values() for setting in section.settings):
        return kind._replace(
            head="alias", why="its settings are pins, and their names stand elsewhere as values"
        )
    return infer_kind(section, kind, judge)


def outvoted_kind(
    section: Section, kind: SectionKind, readings: tuple[Reading, ...], judge: Judge
) -> SectionKind:
    """The kind that settings show which contradict the one that the section's name says; else ``kind``."""
    if not _mostly_unknown(kind, readings):
        return kind
    other = infer_kind(section, kind._replace(name=section.name), judge)
    return kind if other.head in ("", kind.head) else other


def _mostly_unknown(kind: SectionKind, readings: tuple[Reading, ...]) -> bool:
    """Whether the kind that a section's name says leaves most of several settings without a role."""
    if kind.fixed or not kind.head or kind.head == "alias":
        return False
    known = sum(_is_own(one.role, kind) for one in readings)
    return not known if len(readings) < SEVERAL else known * 2 < len(readings)


def _is_own(role: str | None, kind: SectionKind) -> bool:
    """Whether a role is one of the kind itself, not of another that its sections may hold, too."""
    return role not in (None, "pin.other") and bool(ROLES[role].parts & kinds_of(kind.head))


def _names_pins(section: Section) -> bool:
    return len(section.settings) >= FEWEST and all(is_chip_pin(one.value) for one in section.settings)


def infer_kind(section: Section, kind: SectionKind, judge: Judge) -> SectionKind:
    """The kind that the name suggests if the settings show it, else the shown one that explains most of them.

    Lines of G-code say more than one other setting does.
    """
    shown = dict(_shown(section, kind, judge))
    suggested = kind.head in shown and not (kind.head == "heater" and EXTRUDER in shown)
    best = kind.head if suggested else max(shown, key=lambda head: len(shown[head]), default="")
    if any(GCODE_LINE.search(setting.value) for setting in section.settings) and len(shown.get(best, ())) < 2:
        return kind._replace(head="macro", why="a setting holds lines of G-code")
    if best:
        why = kind.why if best == kind.head else f"its settings are those of a part of the kind {best}"
        axis = kind.axis or ("e" if best == EXTRUDER else None)
        return kind._replace(head=best, axis=axis, why=why)
    if kind.head in ("heater", EXTRUDER) and EXTRUDING & kind.own and _roles(section, EXTRUDER, kind, judge):
        return kind._replace(head=EXTRUDER, why="a tool that binds parts of other sections together")
    return kind._replace(head="", why="no word of the name names a part, and no setting shows one")


def _shown(section: Section, kind: SectionKind, judge: Judge) -> Iterator[tuple[str, frozenset[str]]]:
    read: dict[str, frozenset[str]] = {}
    wanted = judge.words.evidence.get(kind.head)
    if kind.head and wanted is not None:
        read[kind.head] = _roles(section, kind.head, kind, judge)
        if read[kind.head] & wanted:
            yield kind.head, read[kind.head]
    if len(section.settings) < FEWEST:
        return
    for head, needs in judge.words.inference:
        if head not in read:
            read[head] = _roles(section, head, kind, judge)
        if needs <= read[head] and len(read[head]) * FEW >= len(section.settings):
            yield head, read[head]


def _roles(section: Section, head: str, kind: SectionKind, judge: Judge) -> frozenset[str]:
    """The roles of this kind that a section's settings play if it is of it. Names are not resolved yet."""
    as_head = kind._replace(head=head)
    decisions = (
        judge.decide(setting.name, setting.value, read_value(setting.value), as_head, lambda text: NOTHING)
        for setting in section.settings
    )
    roles = frozenset(one.role for one in decisions if one.role and one.fits) - VAGUE
    return frozenset(role for role in roles if ROLES[role].parts & kinds_of(head))
