"""One setting's name and value to its role: the patterns of ``trade.toml``, weighed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.syntax.value import Dimension, Items, Number, Value
from cfgaudit.vocabulary.catalogue import AXES, ROLES
from cfgaudit.vocabulary.patterns import Pattern, matched
from cfgaudit.vocabulary.sections import SectionKind
from cfgaudit.vocabulary.shapes import Fit, Resolves, first_piece, fit
from cfgaudit.vocabulary.words import Words

NEEDED, OPTIONAL, STRANGE, AT_HOME, ABROAD = 3.0, 1.5, -1.0, 0.5, -1.5
"""What these are worth: a concept that the pattern needs, or allows; an unknown word; a pattern or a role
made for the section's own kind; a pattern made for other kinds only."""
FITTING = {Fit.WEAK: 0.0, Fit.GOOD: 1.0, Fit.STATED: 2.5}
CLEAR = 0.25
"""By how much the best role must beat the next."""
MOST_STRANGERS = 2
UNHEADED = "other"
SPOKEN_AXES = AXES - frozenset("abc")
"""Letters that name an axis in a setting's name; a, b and c are too often words or list marks there."""


class Candidate(NamedTuple):
    role: str
    score: float
    said: tuple[str, ...]
    strangers: int


class Decision(NamedTuple):
    """``role`` is None where the words do not decide; ``fits`` as in `Reading`."""

    role: str | None
    axis: str | None
    why: str
    fits: bool = True


class Said(NamedTuple):
    """What the words of a setting's name say."""

    concepts: frozenset[str]
    strangers: tuple[str, ...]
    axis: str | None


@dataclass(slots=True)
class Judge:
    """Decides roles with one set of words; remembers what it decided for equal names."""

    words: Words
    _said: dict[str, Said] = field(default_factory=dict)
    _applicable: dict[str, dict[str, list[Pattern]]] = field(default_factory=dict)
    _candidates: dict[tuple[str, frozenset[str], str, str], tuple[Candidate, ...]] = field(
        default_factory=dict
    )

    def decide(self, key: str, text: str, value: Value, kind: SectionKind, resolves: Resolves) -> Decision:
        """The role of a setting in a section of this kind."""
        said = self.said(key)
        found = self._weigh(key, text, value, kind, resolves)
        if found is not None:
            candidate, fits = found
            words = " + ".join(candidate.said) or candidate.role
            return Decision(candidate.role, said.axis, f"{words}, in {_where(kind)}", fits)
        return _pin_by_shape(said, text, resolves)

    def said(self, key: str) -> Said:
        """The concepts, the unknown words and the axis of a name."""
        known = self._said.get(key)
        if known is None:
            known = self._said[key] = _listen(key, self.words)
        return known

    def _weigh(
        self, key: str, text: str, value: Value, kind: SectionKind, resolves: Resolves
    ) -> tuple[Candidate, bool] | None:
        implied = _implied(value, self.words)
        candidates = self._ranked(key, kind, implied)
        best: dict[str, tuple[float, Candidate]] = {}
        misfits: list[Candidate] = []
        for candidate in candidates:
            fitting = self._fit(candidate, key, text, value, resolves)
            if fitting is Fit.NO:
                misfits.append(candidate)
                continue
            score = candidate.score + FITTING[fitting]
            if candidate.role not in best or score > best[candidate.role][0]:
                best[candidate.role] = (score, candidate)
        chosen = _clear_winner(best.values())
        if chosen is not None:
            return _renamed(chosen, text, kind, resolves, self.words), True
        if best:
            return None
        return self._misfit(misfits)

    def _fit(self, candidate: Candidate, key: str, text: str, value: Value, resolves: Resolves) -> Fit:
        spec = ROLES[candidate.role]
        found = fit(candidate.role, text, value, spec, resolves)
        if candidate.role == "ref.board" and found is Fit.WEAK and "board" not in self.said(key).concepts:
            return Fit.NO  # "for" and "on" name too much else
        if spec.shape == "pin" and found is Fit.WEAK and isinstance(value, Number):
            return found if "pin" in self.said(key).concepts else Fit.NO
        return found

    def _misfit(self, candidates: list[Candidate]) -> tuple[Candidate, bool] | None:
        """The role that the words alone decide, where every word is understood and the value contradicts."""
        sure = {
            one.role: (one.score, one)
            for one in reversed(candidates)
            if not one.strangers and len(one.said) > 1 and ROLES[one.role].shape != "name"
        }
        chosen = _clear_winner(sure.values())
        return (chosen, False) if chosen is not None else None

    def _ranked(self, key: str, kind: SectionKind, implied: str) -> tuple[Candidate, ...]:
        at = (kind.head, kind.own, key, implied)
        known = self._candidates.get(at)
        if known is None:
            found = sorted(self._match(key, kind, implied), key=lambda one: -one.score)
            known = self._candidates[at] = tuple(found)
        return known

    def _match(self, key: str, kind: SectionKind, implied: str) -> Iterator[Candidate]:
        said = self.said(key)
        if len(said.strangers) > MOST_STRANGERS:
            return
        concepts = said.concepts | ({implied} if implied else frozenset())
        must_be_known = said.concepts - kind.own - {kind.head}
        for pattern in self._patterns_for(kind.head, concepts):
            if must_be_known <= pattern.known and matched(pattern, concepts):
                if said.strangers and not matched(pattern, said.concepts):
                    continue  # a unit alone says too little beside a word that nobody understands
                yield _candidate(pattern, said, implied, kind.head)

    def _patterns_for(self, head: str, concepts: frozenset[str]) -> Iterator[Pattern]:
        """The patterns for a section's kind of which at least the first need can be met."""
        known = self._applicable.get(head)
        if known is None:
            known = self._applicable[head] = _index(head, self.words)
        seen: set[int] = set()
        for concept in concepts:
            for pattern in known.get(concept, ()):
                if id(pattern) not in seen:
                    seen.add(id(pattern))
                    yield pattern


def _pin_by_shape(said: Said, text: str, resolves: Resolves) -> Decision:
    first = first_piece(text)
    if is_chip_pin(first):
        return Decision("pin.other", said.axis, "the value can only be a pin")
    if "alias" in resolves(first):
        return Decision("pin.other", said.axis, "the value is an alias of a pin")
    return Decision(None, said.axis, "the words do not decide it")


def _where(kind: SectionKind) -> str:
    return f"a section of the kind {kind.head}" if kind.head else "a section of no known kind"


def _heads(head: str, words: Words) -> frozenset[str]:
    return frozenset({head or UNHEADED}) | words.families.get(head, frozenset())


def _index(head: str, words: Words) -> dict[str, list[Pattern]]:
    """The patterns that count in a section of one kind, by the concepts that meet their first need."""
    heads = _heads(head, words)
    index: dict[str, list[Pattern]] = {}
    for pattern in words.patterns:
        if (not pattern.kinds or pattern.kinds & heads) and ROLES[pattern.role].parts & heads:
            for concept in pattern.needed[0]:
                index.setdefault(concept, []).append(pattern)
    return index


def _listen(key: str, words: Words) -> Said:
    concepts, strangers, axes = set(), [], []
    for word in words.lexicon.words(key):
        if word.is_letter and word.text in SPOKEN_AXES and not word.concept:
            axes.append(word.text)
        elif word.concept == "alias":
            concepts.add("pin")
        elif word.concept == "filler" or word.text.isdigit():
            continue
        elif word.concept:
            concepts.add(word.concept)
        else:
            strangers.append(word.text)
    return Said(frozenset(concepts), tuple(strangers), axes[0] if len(set(axes)) == 1 else None)


def _implied(value: Value, words: Words) -> str:
    """The concept that a written unit implies."""
    if isinstance(value, Items) and value.items:
        return _implied(value.items[-1], words)
    if isinstance(value, Number) and value.dimension is not Dimension.NONE:
        return words.units.get(value.dimension.name.lower(), "")
    return ""


def _candidate(pattern: Pattern, said: Said, implied: str, head: str) -> Candidate:
    wanted = frozenset().union(*pattern.needed)
    optional = len(said.concepts & (pattern.may - wanted))
    score = NEEDED * len(pattern.needed) + OPTIONAL * optional + STRANGE * len(said.strangers)
    score += AT_HOME * (head in pattern.kinds) + AT_HOME * (head in ROLES[pattern.role].parts)
    score += ABROAD * bool(pattern.kinds and head not in pattern.kinds)
    if implied and implied not in said.concepts:
        score -= OPTIONAL * any(
            needed & {implied} and not needed & said.concepts for needed in pattern.needed
        )
    return Candidate(pattern.role, score, tuple(sorted(said.concepts & pattern.known)), len(said.strangers))


def _renamed(chosen: Candidate, text: str, kind: SectionKind, resolves: Resolves, words: Words) -> Candidate:
    """Where only a relation is said (``follows``), the kind of the part that is named decides the role."""
    if not chosen.role.startswith("ref.") or chosen.role.partition(".")[2] in chosen.said:
        return chosen
    kinds = resolves(text) or resolves(first_piece(text))
    roles = [f"ref.{one}" for one in sorted(kinds) if ROLES.get(f"ref.{one}")]
    fitting = [role for role in roles if ROLES[role].parts & _heads(kind.head, words)]
    return chosen if chosen.role in roles or len(fitting) != 1 else chosen._replace(role=fitting[0])


def _clear_winner(scored: Iterable[tuple[float, Candidate]]) -> Candidate | None:
    ranked = sorted(scored, key=lambda one: -one[0])
    if not ranked or (len(ranked) > 1 and ranked[0][0] - ranked[1][0] < CLEAR):
        return None
    return ranked[0][1]
