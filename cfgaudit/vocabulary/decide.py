"""One setting's name and value to its role: the patterns of ``trade.toml``, weighed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.syntax.value import Dimension, Items, Number, Value
from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.listen import Said, listen
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
PLAIN = frozenset(
    {
        "position",
        "pin",
        "limit",
        "little",
        "kind",
        "count",
        "run",
        "analog",
        "drive",
        "steer",
        "output",
        "belongs",
    }
)
"""Concepts that say too little to stand beside a word that nobody understands."""
ALIKE = {"motor": frozenset({"motor", "axis"}), "axis": frozenset({"axis", "motor"})}
"""Kinds that stand for one another where a part is named: an axis' section often is its motor's."""
NEARLY_PIN = re.compile(r"[^\W\d]\w*(?:\d\w*|[-_]\w+)")
"""Letters, then a digit, a hyphen or a low line somewhere: how pins and their aliases are written."""
LITTLE = frozenset({"little", "belongs"})
"""Words between nouns: they rule nothing out."""
GCODE_LINE = re.compile(r"(?m)^[ \t]*(?:N\d+[ \t]*)?[GMT]\d{1,4}(?:\.\d+)?(?:\s|$)")


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


@dataclass(slots=True)
class Judge:
    """Decides roles with one set of words; remembers what it decided for equal names."""

    words: Words
    _said: dict[str, Said] = field(default_factory=dict)
    _by_need: dict[str, list[tuple[int, Pattern]]] = field(default_factory=dict)
    _applicable: dict[tuple[str, str], list[tuple[int, Pattern]]] = field(default_factory=dict)
    _only: dict[tuple[str, str], str | None] = field(default_factory=dict)
    _candidates: dict[tuple[str, frozenset[str], str, str], tuple[Candidate, ...]] = field(
        default_factory=dict
    )

    def decide(self, key: str, text: str, value: Value, kind: SectionKind, resolves: Resolves) -> Decision:
        """The role of a setting in a section of this kind."""
        said = self.said(key)
        if "about" in said.concepts:
            return Decision(None, said.axis, "it says something of people or looks")
        if kind.head == "macro" and ("\n" in text or GCODE_LINE.search(text)):
            return Decision("macro.body", said.axis, "lines of a macro")
        found = self._weigh(key, text, value, kind, resolves)
        named = self._named(said, found, text, kind, resolves)
        if named is not None:
            return Decision(named, said.axis, f"a {named.partition('.')[2]} has this name")
        if found is not None and not (found[1] is Fit.NO and is_chip_pin(first_piece(text))):
            candidate, fitting = found
            words = " + ".join(candidate.said) or candidate.role
            return Decision(candidate.role, said.axis, f"{words}, in {_where(kind)}", fitting is not Fit.NO)
        return _pin_by_shape(said, text, resolves)

    def said(self, key: str) -> Said:
        """The concepts, the unknown words and the axis of a name."""
        known = self._said.get(key)
        if known is None:
            known = self._said[key] = listen(key, self.words)
        return known

    def _weigh(
        self, key: str, text: str, value: Value, kind: SectionKind, resolves: Resolves
    ) -> tuple[Candidate, Fit] | None:
        """The best role and how well the value fits it; None if there is none, or no clear one."""
        said = self.said(key)
        best: dict[str, tuple[float, Candidate, Fit]] = {}
        misfits: list[Candidate] = []
        implied = said.implied or _implied(value, self.words)
        for candidate in self._ranked(key, kind, implied):
            fitting = _fit(candidate, said, text, value, resolves)
            if fitting is Fit.NO:
                misfits.append(candidate)
            elif not said.strangers or self._said_enough(candidate, said, implied, fitting, kind.head):
                score = candidate.score + FITTING[fitting]
                if candidate.role not in best or score > best[candidate.role][0]:
                    best[candidate.role] = (score, candidate, fitting)
        if not best:
            return _misfit(misfits, said)
        ranked = sorted(best.values(), key=lambda one: -one[0])
        level = [one[1:] for one in ranked if ranked[0][0] - one[0] < CLEAR]
        return level[0] if len(level) == 1 else self._likeliest(level, kind.head)

    def _likeliest(self, level: list[tuple[Candidate, Fit]], head: str) -> tuple[Candidate, Fit] | None:
        """Of several references that a relation may be, the one that a part of this kind makes most."""
        by_role = {candidate.role: (candidate, fitting) for candidate, fitting in level}
        if not all(role.startswith("ref.") for role in by_role):
            return None
        wanted = (f"ref.{kind}" for kind in self.words.refers.get(head or UNHEADED, ()))
        return next((by_role[role] for role in wanted if role in by_role), None)

    def _named(
        self,
        said: Said,
        found: tuple[Candidate, Fit] | None,
        text: str,
        kind: SectionKind,
        resolves: Resolves,
    ) -> str | None:
        """The reference that a value makes which is a part's name, where the words do not say its kind."""
        if found is not None and not _may_be_name(found, said):
            return None
        kinds = resolves(text) or resolves(first_piece(text))
        if not kinds - {"alias"}:
            return None
        for wanted in self.words.refers.get(kind.head or UNHEADED, ()):
            role = f"ref.{wanted}"
            if kinds & ALIKE.get(wanted, {wanted}) and ROLES[role].parts & _heads(kind.head, self.words):
                return role
        return None

    def _said_enough(self, candidate: Candidate, said: Said, implied: str, fitting: Fit, head: str) -> bool:
        """Whether the known words carry a role although the name has a word that nobody understands."""
        telling = (said.concepts | {implied}) - PLAIN - {""}
        if fitting is Fit.WEAK and ROLES[candidate.role].shape == "name":
            return False
        if fitting is Fit.STATED and ROLES[candidate.role].shape in ("pin", "name"):
            return len(telling) >= len(said.strangers)
        if len(telling) == 1 and len(said.strangers) == 1:
            return self._only_role(head, *telling) == candidate.role
        return len(telling) > len(said.strangers)

    def _only_role(self, head: str, concept: str) -> str | None:
        """The one role that a concept can say in a section of a kind; None if there are several."""
        at = (head, concept)
        if at not in self._only:
            roles = {
                pattern.role
                for pattern in self.words.patterns
                if not pattern.role.startswith("bus.")
                and (head in pattern.kinds or (not pattern.kinds and head in ROLES[pattern.role].parts))
                and any(concept in needed for needed in pattern.needed)
            }
            self._only[at] = next(iter(roles)) if len(roles) == 1 else None
        return self._only[at]

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

    def _meeting(self, concept: str, head: str) -> list[tuple[int, Pattern]]:
        """The patterns for a section's kind whose first need a concept meets, with their places."""
        if not self._by_need:
            self._by_need.update(_by_need(self.words))
        at = (concept, head)
        if at not in self._applicable:
            heads, meeting = _heads(head, self.words), self._by_need.get(concept, ())
            self._applicable[at] = [(place, one) for place, one in meeting if _counts(one, heads)]
        return self._applicable[at]


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


def _by_need(words: Words) -> dict[str, list[tuple[int, Pattern]]]:
    """Every pattern, with its place, by each concept that meets its first need."""
    table: dict[str, list[tuple[int, Pattern]]] = {}
    for place, pattern in enumerate(words.patterns):
        for concept in pattern.needed[0]:
            table.setdefault(concept, []).append((place, pattern))
    return table


def _counts(pattern: Pattern, heads: frozenset[str]) -> bool:
    """Whether a pattern counts in a section of these kinds."""
    return bool((not pattern.kinds or pattern.kinds & heads) and ROLES[pattern.role].parts & heads)


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


def _fit(candidate: Candidate, said: Said, text: str, value: Value, resolves: Resolves) -> Fit:
    spec = ROLES[candidate.role]
    found = fit(candidate.role, text, value, spec, resolves)
    if found is Fit.WEAK and text.strip() and spec.shape == "pin" and "pin" not in said.concepts:
        # A bare word or number is no pin unless the name says so; a slip in a pin's or an alias' name may be.
        return Fit.WEAK if NEARLY_PIN.fullmatch(first_piece(text)) else Fit.NO
    if candidate.role == "temp.max" and found is Fit.GOOD and isinstance(value, Number) and value.amount <= 1:
        return Fit.WEAK  # likelier a share of the power than a temperature
    if found is Fit.WEAK and candidate.role == "ref.board" and "board" not in said.concepts:
        return Fit.NO  # "on" and "connected to" name too much else
    return found


def _misfit(candidates: list[Candidate], said: Said) -> tuple[Candidate, Fit] | None:
    """The role that the words alone decide, where every word is understood and the value contradicts."""
    sure: dict[str, Candidate] = {}
    for one in candidates:
        shape = ROLES[one.role].shape
        no_pin = shape == "pin" and "pin" not in said.concepts
        if not one.strangers and len(one.said) > 1 and shape != "name" and not no_pin:
            sure.setdefault(one.role, one)
    ranked = sorted(sure.values(), key=lambda one: -one.score)
    if not ranked or (len(ranked) > 1 and ranked[0].score - ranked[1].score < CLEAR):
        return None
    return ranked[0], Fit.NO


def _may_be_name(found: tuple[Candidate, Fit], said: Said) -> bool:
    """Whether a role leaves it open that the value is another part's name."""
    candidate, fitting = found
    if candidate.role.startswith("ref."):
        return candidate.role.partition(".")[2] not in said.concepts
    shape = ROLES[candidate.role].shape
    return (
        fitting is Fit.NO
        or (shape == "text" and "kind" not in said.concepts)
        or (shape == "pin" and fitting is Fit.WEAK)
    )
