"""The roles that a setting's words may say: the patterns that they meet, weighed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.listen import Said
from cfgaudit.vocabulary.patterns import Pattern, matched
from cfgaudit.vocabulary.sections import OTHER, SectionKind
from cfgaudit.vocabulary.words import Words

NEEDED, OPTIONAL, STRANGE, AT_HOME, ABROAD = 3.0, 1.5, -1.0, 0.5, -1.5
"""What these are worth: a concept that the pattern needs, or allows; an unknown word; a pattern or a role
made for the section's own kind; a pattern made for other kinds only."""
MOST_STRANGERS = 2
LITTLE = frozenset({"little", "belongs"})
"""Words between nouns: they rule nothing out."""


class Candidate(NamedTuple):
    """A role that a name's words may say, and the concepts among them that say it."""

    role: str
    score: float
    said: tuple[str, ...]


Placed = tuple[int, Pattern]
"""A pattern and its place among all: equal ones are weighed in their order."""


@dataclass(slots=True)
class Candidates:
    """Finds candidates with one set of words; remembers what it found for equal names."""

    words: Words
    _by_need: dict[str, list[Placed]] = field(default_factory=dict)
    _applicable: dict[tuple[str, str], list[Placed]] = field(default_factory=dict)
    _ranked: dict[tuple[str, frozenset[str], Said, str], tuple[Candidate, ...]] = field(default_factory=dict)

    def ranked(self, said: Said, kind: SectionKind, implied: str) -> tuple[Candidate, ...]:
        """The candidates in a section of a kind, best first; ``implied`` is the concept of a written unit."""
        at = (kind.head, kind.own, said, implied)
        known = self._ranked.get(at)
        if known is None:
            found = sorted(self._matching(said, kind, implied), key=lambda one: -one.score)
            known = self._ranked[at] = tuple(found)
        return known

    def _matching(self, said: Said, kind: SectionKind, implied: str) -> Iterator[Candidate]:
        if len(said.strangers) > MOST_STRANGERS:
            return
        concepts = said.concepts | ({implied} if implied else frozenset())
        must_be_known = said.concepts - kind.own - LITTLE - {kind.head}
        for pattern in self._patterns_for(kind.head, concepts):
            if must_be_known <= pattern.known and matched(pattern, concepts):
                if said.strangers and not said.implied and not matched(pattern, said.concepts):
                    continue  # a unit alone says too little beside a word that nobody understands
                yield _candidate(pattern, said, implied, kind.head)

    def _patterns_for(self, head: str, concepts: frozenset[str]) -> list[Pattern]:
        """The patterns for a section's kind of which at least the first need can be met, in their order."""
        found = {place: pattern for concept in concepts for place, pattern in self._meeting(concept, head)}
        return [found[place] for place in sorted(found)]

    def _meeting(self, concept: str, head: str) -> list[Placed]:
        """The patterns for a section's kind whose first need a concept meets, with their places."""
        if not self._by_need:
            self._by_need.update(_by_need(self.words))
        at = (concept, head)
        if at not in self._applicable:
            heads, meeting = heads_of(head, self.words), self._by_need.get(concept, ())
            self._applicable[at] = [(place, one) for place, one in meeting if _counts(one, heads)]
        return self._applicable[at]


def heads_of(head: str, words: Words) -> frozenset[str]:
    """A section's kind and those whose settings it may hold besides its own."""
    return frozenset({head or OTHER}) | words.families.get(head, frozenset())


def _by_need(words: Words) -> dict[str, list[Placed]]:
    """Every pattern, with its place, by each concept that meets its first need."""
    table: dict[str, list[Placed]] = {}
    for place, pattern in enumerate(words.patterns):
        for concept in pattern.needed[0]:
            table.setdefault(concept, []).append((place, pattern))
    return table


def _counts(pattern: Pattern, heads: frozenset[str]) -> bool:
    """Whether a pattern counts in a section of these kinds."""
    return bool((not pattern.kinds or pattern.kinds & heads) and ROLES[pattern.role].parts & heads)


def _candidate(pattern: Pattern, said: Said, implied: str, head: str) -> Candidate:
    wanted = frozenset().union(*pattern.needed)
    optional = len(said.concepts & (pattern.may - wanted))
    score = NEEDED * len(pattern.needed) + OPTIONAL * optional + STRANGE * len(said.strangers)
    score += AT_HOME * (head in pattern.kinds) + AT_HOME * (head in ROLES[pattern.role].parts)
    score += ABROAD * bool(pattern.kinds and head not in pattern.kinds)
    if implied and implied not in said.concepts:
        score -= OPTIONAL * any(implied in needed and not needed & said.concepts for needed in pattern.needed)
    return Candidate(pattern.role, score, tuple(sorted(said.concepts & pattern.known)))
