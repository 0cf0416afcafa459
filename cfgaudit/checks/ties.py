"""Which parts belong together, by reference and by name, and where that cannot be told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from cfgaudit.machine.model import Machine, Part, Reference
from cfgaudit.machine.names import own_names
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
    for other in _named(machine, kinds).around(words) if words else ():
        if other.section is not part.section:
            yield other


class _Named:
    """Parts by the words of their names. Only those are compared that share the rarer word of either name."""

    def __init__(self, parts: Iterable[Part]) -> None:
        self._parts = [(part, words) for part in parts if (words := _words(part.name))]
        self._with = _grouped((word, at) for at, (_, words) in enumerate(self._parts) for word in words)
        self._rarest = _grouped((self._rarer(words), at) for at, (_, words) in enumerate(self._parts))

    def around(self, words: frozenset[str]) -> Iterator[Part]:
        """The parts whose name has all of these words, or none but some of them, in their order."""
        longer = self._with.get(self._rarer(words), ())
        shorter = (at for word in words for at in self._rarest.get(word, ()))
        for at in sorted({*longer, *shorter}):
            part, theirs = self._parts[at]
            if words <= theirs or theirs <= words:
                yield part

    def _rarer(self, words: frozenset[str]) -> str:
        return min(words, key=lambda word: (len(self._with.get(word, ())), word))


@lru_cache(maxsize=16)
def _named(machine: Machine, kinds: tuple[str, ...]) -> _Named:
    return _Named(machine.kind(*kinds))


def _grouped(pairs: Iterable[tuple[str, int]]) -> dict[str, list[int]]:
    groups: dict[str, list[int]] = {}
    for key, item in pairs:
        groups.setdefault(key, []).append(item)
    return groups


@lru_cache(maxsize=4096)
def _words(name: str) -> frozenset[str]:
    return frozenset(split_words(name))


def mentions(one: Part, others: Sequence[Part]) -> bool:
    """Whether a value in a part's section names one of the others, or its own name holds the first one's."""
    words = _words(others[0].name)
    if words and any(words <= _words(text) for text in one.callings):
        return True
    names = {name for part in others for name in own_names(part)}
    return any(fold_name(setting.value) in names for setting in one.section.settings)


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
