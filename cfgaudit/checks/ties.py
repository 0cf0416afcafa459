"""Which parts belong together, by reference and by name, and where that cannot be told."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from cfgaudit.machine.model import Machine, Part, Reference
from cfgaudit.machine.pieces import split_words
from cfgaudit.tree.names import fold_name


def same_name(one: Part, other: Part) -> bool:
    """Whether both have a name, and the same one in any spelling."""
    return bool(one.name) and fold_name(one.name) == fold_name(other.name)


def refers(machine: Machine, one: Part, other: Part) -> bool:
    """Whether anything in the section of one part refers to the section of the other, in either direction."""
    return any(
        link.target is not None and link.target.section is there.section
        for here, there in ((one, other), (other, one))
        for link in machine.from_part(here)
    )


def tied(machine: Machine, part: Part, *kinds: str) -> tuple[Part, ...]:
    """The parts of these kinds that the part refers to, that refer to it, or that share its section.

    What refers to another part of the same section refers to all of it.
    """
    own = (part, *machine.mates(part))
    found = [one for kind in kinds for one in machine.partners(part, kind)]
    found += [one for mate in own[1:] for one in machine.to_part(mate, *kinds)]
    return tuple(dict.fromkeys(found))


def namesakes(machine: Machine, part: Part, *kinds: str) -> Iterator[Part]:
    """The parts of these kinds in other sections that share the name: all words of one are in the other."""
    words = _words(part.name)
    for other in machine.kind(*kinds) if words else ():
        theirs = _words(other.name)
        if other.section is not part.section and theirs and (words <= theirs or theirs <= words):
            yield other


@lru_cache(maxsize=4096)
def _words(name: str) -> frozenset[str]:
    return frozenset(split_words(name))


def sensors_of(machine: Machine, heater: Part) -> tuple[Part, ...]:
    """The sensors that a heater has by reference, or may have by name."""
    return tuple(dict.fromkeys([*tied(machine, heater, "sensor"), *namesakes(machine, heater, "sensor")]))


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
