"""Sections that went into others, or came out of them: nothing is lost but a header."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Mapping

from cfgaudit.history.comparing.equal import Forms
from cfgaudit.history.comparing.pairing import Loose
from cfgaudit.vocabulary.reading import Reading, SectionReading

Ends = Iterable[tuple[SectionReading, SectionReading]]
"""For each setting that moved, the section that only this side may have, and the one of the other side."""


class Merges:
    """Of one side: the sections that the other lacks, and whose settings are all in sections that it has."""

    def __init__(
        self, lone: Iterable[SectionReading], ends: Ends, moved: Container[int], forms: Forms
    ) -> None:
        self._forms = forms
        others: defaultdict[str, set[str]] = defaultdict(set)
        for here, there in ends:
            others[here.section.key].add(there.section.key)
        self._merged: Mapping[str, set[str]] = {
            one.section.key: others[one.section.key]
            for one in lone
            if one.section.key in others and self._is_whole(one, moved, others[one.section.key])
        }

    def is_merged(self, section: SectionReading) -> bool:
        """Whether all that a section says is said elsewhere."""
        return section.section.key in self._merged

    def is_link(self, one: Loose) -> bool:
        """Whether a setting names a section that is one with its own on the other side."""
        targets = self._targets(one.reading)
        return bool(targets) and all(one.section.section.key in self._merged.get(key, ()) for key in targets)

    def _is_whole(self, section: SectionReading, moved: Container[int], others: set[str]) -> bool:
        """A setting that names what the section is one with now is not missed."""
        return all(
            id(one) in moved or (targets and targets <= others)
            for one in section.readings
            for targets in [self._targets(one)]
        )

    def _targets(self, reading: Reading) -> set[str]:
        """The keys of the sections that a setting refers to."""
        links = [link for one in self._forms.meanings(reading) for link in self._forms.references(one)]
        return {link.target.section.key for link in links if link.target is not None}
