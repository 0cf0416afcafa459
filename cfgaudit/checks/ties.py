"""Which parts belong together, by reference and by name, and where that cannot be told."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.machine.model import Machine, Part, Reference
from cfgaudit.machine.pieces import split_words
from cfgaudit.tree.names import fold_name


def same_name(one: Part, other: Part) -> bool:
    """Whether both have a name, and the same one in any spelling."""
    return bool(one.name) and fold_name(one.name) == fold_name(other.name)


def refers(machine: Machine, one: Part, other: Part) -> bool:
    """Whether anything in the section of one part refers to the section of the other, in either direction."""
    ends = {id(one.section), id(other.section)}
    return any(
        link.target is not None and {id(link.origin.section), id(link.target.section)} == ends
        for link in machine.references
    )


def tied(machine: Machine, part: Part, *kinds: str) -> Iterator[Part]:
    """The parts of these kinds that the part refers to, that refer to it, or that share its section."""
    found: list[Part] = [mate for mate in machine.mates(part) if mate.kind in kinds]
    for link in machine.references:
        if link.target is None:
            continue
        if link.origin.section is part.section and link.target.kind in kinds:
            found.append(link.target)
        elif link.target.section is part.section and link.origin.kind in kinds:
            found.append(link.origin)
    yield from {id(one): one for one in found}.values()


def namesakes(machine: Machine, part: Part, *kinds: str) -> Iterator[Part]:
    """The parts of these kinds in other sections that share the name: all words of one are in the other."""
    words = set(split_words(part.name))
    for other in machine.kind(*kinds):
        theirs = set(split_words(other.name))
        if other.section is not part.section and words and theirs and (words <= theirs or theirs <= words):
            yield other


def sensors_of(machine: Machine, heater: Part) -> list[Part]:
    """The sensors that a heater has by reference, or may have by name."""
    found = [*tied(machine, heater, "sensor"), *namesakes(machine, heater, "sensor")]
    return list({id(one): one for one in found}.values())


def vague(machine: Machine, *kinds: str) -> bool:
    """Whether parts of these kinds hold words that nobody understands, or names that nothing has.

    Then nothing may be concluded from a tie that is not there.
    """
    return any(part.unknown for part in machine.kind(*kinds)) or any(
        unsettled(link) for link in machine.references if link.origin.kind in kinds
    )


def unsettled(link: Reference) -> bool:
    """A reference that may mean a part, but that leads to none."""
    return link.target is None and not link.implied
