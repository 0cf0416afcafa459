"""Parts that exist to be named by others, and that nobody names."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Alias, Machine, Part
from cfgaudit.tree.config_tree import ConfigTree, Section
from cfgaudit.tree.names import fold_name


@check("part-unused")
def part_unused(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A sensor, driver, board or list of aliases that nothing uses, where all others of its kind are used.

    One that is left over among several was forgotten; several say that here such parts need nobody. A name
    that stands in any other section's value counts as use, understood or not.
    """
    machine = subject.machine
    for kind in ("sensor", "driver", "board"):
        parts = [part for part in machine.kind(kind) if _stands_alone(machine, part)]
        idle = [part for part in parts if not _is_used(machine, part)]
        if len(idle) == 1 and len(parts) > 2 - (kind == "board") and not _is_named(subject.tree, idle[0]):
            yield from _problem(idle[0].section, idle[0].title)
    for section in _idle_aliases(machine):
        yield from _problem(section, f"none of the aliases of [{section.name}]")


def _stands_alone(machine: Machine, part: Part) -> bool:
    """Whether the part has a name to be referred to by, and a section for itself.

    A sensor without a pin is inside a chip and serves by being read.
    """
    if part.kind == "sensor" and part.get("pin.sensor") is None:
        return False
    return bool(part.name) and not any(True for _ in machine.mates(part))


def _is_used(machine: Machine, part: Part) -> bool:
    """Whether anything refers to it; a driver may itself name its motor, a board carries pins."""
    if any(True for _ in machine.to_part(part)):
        return True
    if part.kind == "driver":
        return part.axis is not None or any(True for _ in machine.from_part(part))
    return part.kind == "board" and bool(machine.pins.get(fold_name(part.name)))


def _is_named(tree: ConfigTree, part: Part) -> bool:
    """Whether the part's name stands anywhere else, in a section's name or in a value."""
    name = fold_name(part.name)
    others = (section for section in tree.sections if section is not part.section)
    return any(
        name in section.key or any(name in fold_name(setting.value) for setting in section.settings)
        for section in others
    )


def _idle_aliases(machine: Machine) -> Iterator[Section]:
    """Alias sections of which no alias is used, where some other section's are.

    Single aliases are no finding: lists of a board's pins are copied whole.
    """
    used = {id(alias.section) for alias in _used_aliases(machine)}
    sections: dict[int, Section] = {id(alias.section): alias.section for alias in machine.aliases}
    if used:
        yield from (section for key, section in sections.items() if key not in used)


def _used_aliases(machine: Machine) -> Iterator[Alias]:
    """Every alias that a pin was written with, and every one that another alias leads to."""
    uses = (use for pins in machine.pins.values() for users in pins.values() for use in users)
    yield from (use.via for use in uses if use.via is not None)
    led_to = {alias.pin.key for alias in machine.aliases if not alias.pin.on_chip}
    yield from (alias for alias in machine.aliases if alias.key in led_to)


def _problem(section: Section, what: str) -> Iterator[Problem]:
    if section.place is not None:
        yield Problem(section.place, f"nothing uses {what}", subject=what)
