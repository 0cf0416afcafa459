"""What a new name takes apart: parts that nothing binds to one another any more."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

from cfgaudit.history.comparing.pairing import Pairing
from cfgaudit.machine.model import Reference
from cfgaudit.tree.config_tree import Section


class LostTies:
    """Links before, stated or by equal names, that nothing makes after, in neither direction."""

    def __init__(self, pairing: Pairing) -> None:
        self._pairing = pairing

    def of(self, section: Section) -> Iterator[Reference]:
        """The links from or to a section of the machine before, both ends of which are still there."""
        index = self._pairing.before.machine.index
        parts = index.by_section.get(id(section), ())
        links = [*index.made_by_section.get(id(section), ())]
        links += [link for part in parts for link in index.made_to_part.get(part, ())]
        for link in links:
            if self._is_lost(link):
                yield link

    def _is_lost(self, link: Reference) -> bool:
        pairs = self._pairing.pairs
        if link.target is None:
            return False
        here, there = pairs.get(link.origin.section.key), pairs.get(link.target.section.key)
        return None not in (here, there) and (here, there) not in self._after

    @cached_property
    def _after(self) -> frozenset[tuple[str | None, str | None]]:
        links = self._pairing.after.machine.references
        ends = [(one.origin.section.key, one.target.section.key) for one in links if one.target is not None]
        return frozenset([*ends, *((there, here) for here, there in ends)])
