"""Whether a setting's name and value together carry a role that the words may say."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from cfgaudit.syntax.value import Number, Value
from cfgaudit.vocabulary.candidates import Candidate
from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.listen import Said
from cfgaudit.vocabulary.shapes import Fit, Resolves, first_piece, fit
from cfgaudit.vocabulary.words import Words

CLEAR = 0.25
"""By how much the best role must beat the next."""
PLAIN = frozenset("position pin limit little kind count run analog drive steer output belongs".split())
"""Concepts that say too little to stand beside a word that nobody understands."""
NEARLY_PIN = re.compile(r"[^\W\d]\w*(?:\d\w*|[-_]\w+)")
"""Letters, then a digit, a hyphen or a low line somewhere: how pins and their aliases are written."""

Choice = tuple[Candidate, Fit]
"""A candidate and how well the value fits it."""


def fitting(candidate: Candidate, said: Said, text: str, value: Value, resolves: Resolves) -> Fit:
    """How well a value fits a candidate, the words of the name considered."""
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


def misfit(candidates: Iterable[Candidate], said: Said) -> Choice | None:
    """The role that the words alone decide, where every word is understood and the value contradicts."""
    if said.strangers:
        return None
    sure: dict[str, Candidate] = {}
    for one in candidates:
        shape = ROLES[one.role].shape
        no_pin = shape == "pin" and "pin" not in said.concepts
        if len(one.said) > 1 and shape != "name" and not no_pin:
            sure.setdefault(one.role, one)
    ranked = sorted(sure.values(), key=lambda one: -one.score)
    if not ranked or (len(ranked) > 1 and ranked[0].score - ranked[1].score < CLEAR):
        return None
    return ranked[0], Fit.NO


@dataclass(slots=True)
class Trust:
    """Tells whether a name is understood well enough; remembers which concepts say one role only."""

    words: Words
    _only: dict[tuple[str, str], str | None] = field(default_factory=dict)

    def said_enough(self, choice: Choice, said: Said, implied: str, head: str) -> bool:
        """Whether the known words carry a role although the name has a word that nobody understands."""
        if not said.strangers:
            return True
        candidate, found = choice
        shape = ROLES[candidate.role].shape
        if found is Fit.WEAK and shape == "name":
            return False
        telling = (said.concepts | {implied}) - PLAIN - {""}
        if found is Fit.STATED and shape in ("pin", "name"):
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
