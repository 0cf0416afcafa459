"""One setting's name and value to its role."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import NamedTuple

from cfgaudit.syntax.read_pin import is_chip_pin
from cfgaudit.syntax.value import Dimension, Items, Number, Value
from cfgaudit.vocabulary.candidates import Candidate, Candidates
from cfgaudit.vocabulary.fitting import CLEAR, Choice, Trust, fitting, misfit
from cfgaudit.vocabulary.listen import Said, listen
from cfgaudit.vocabulary.relations import likeliest, may_be_name, named_part
from cfgaudit.vocabulary.sections import SectionKind
from cfgaudit.vocabulary.shapes import Fit, Resolves, first_piece
from cfgaudit.vocabulary.words import Words

WORTH = {Fit.WEAK: 0.0, Fit.GOOD: 1.0, Fit.STATED: 2.5}
"""What a value that fits a role adds to its score."""
GCODE_LINE = re.compile(r"(?m)^[ \t]*(?:N\d+[ \t]*)?[GMT]\d{1,4}(?:\.\d+)?(?:\s|$)")


class Decision(NamedTuple):
    """``role`` is None where the words do not decide; ``fits`` as in `Reading`."""

    role: str | None
    axis: str | None
    why: str
    fits: bool = True


@dataclass(slots=True)
class Judge:
    """Decides roles with one set of words; remembers what equal names say."""

    words: Words
    _said: dict[str, Said] = field(default_factory=dict)
    _candidates: Candidates = field(init=False)
    _trust: Trust = field(init=False)

    def __post_init__(self) -> None:
        self._candidates, self._trust = Candidates(self.words), Trust(self.words)

    def decide(self, key: str, text: str, value: Value, kind: SectionKind, resolves: Resolves) -> Decision:
        """The role of a setting in a section of this kind."""
        said = self.said(key)
        if "about" in said.concepts:
            return Decision(None, said.axis, "it says something of people or looks")
        if kind.head == "macro" and ("\n" in text or GCODE_LINE.search(text)):
            return Decision("macro.body", said.axis, "lines of a macro")
        found = self._weigh(said, text, value, kind, resolves)
        named = named_part(text, kind.head, resolves, self.words) if may_be_name(found, said) else None
        if named is not None:
            return Decision(named, said.axis, f"a {named.partition('.')[2]} has this name")
        if found is not None and not (found[1] is Fit.NO and is_chip_pin(first_piece(text))):
            candidate, fit = found
            words = " + ".join(candidate.said) or candidate.role
            return Decision(candidate.role, said.axis, f"{words}, in {_where(kind)}", fit is not Fit.NO)
        return _pin_by_shape(said, text, resolves)

    def said(self, key: str) -> Said:
        """The concepts, the unknown words and the axis of a name."""
        known = self._said.get(key)
        if known is None:
            known = self._said[key] = listen(key, self.words)
        return known

    def _weigh(
        self, said: Said, text: str, value: Value, kind: SectionKind, resolves: Resolves
    ) -> Choice | None:
        """The best role and how well the value fits it; None if there is none, or no clear one."""
        best: dict[str, tuple[float, Choice]] = {}
        misfits: list[Candidate] = []
        implied = said.implied or _implied(value, self.words)
        for candidate in self._candidates.ranked(said, kind, implied):
            fit = fitting(candidate, said, text, value, resolves)
            if fit is Fit.NO:
                misfits.append(candidate)
            elif self._trust.said_enough((candidate, fit), said, implied, kind.head):
                score = candidate.score + WORTH[fit]
                if candidate.role not in best or score > best[candidate.role][0]:
                    best[candidate.role] = (score, (candidate, fit))
        if not best:
            return misfit(misfits, said)
        highest = max(score for score, _ in best.values())
        level = [choice for score, choice in best.values() if highest - score < CLEAR]
        return level[0] if len(level) == 1 else likeliest(level, kind.head, self.words)


def _implied(value: Value, words: Words) -> str:
    """The concept that a written unit implies."""
    if isinstance(value, Items) and value.items:
        return _implied(value.items[-1], words)
    if isinstance(value, Number) and value.dimension is not Dimension.NONE:
        return words.units.get(value.dimension.name.lower(), "")
    return ""


def _where(kind: SectionKind) -> str:
    return f"a section of the kind {kind.head}" if kind.head else "a section of no known kind"


def _pin_by_shape(said: Said, text: str, resolves: Resolves) -> Decision:
    first = first_piece(text)
    if is_chip_pin(first):
        return Decision("pin.other", said.axis, "the value can only be a pin")
    if "alias" in resolves(first):
        return Decision("pin.other", said.axis, "the value is an alias of a pin")
    return Decision(None, said.axis, "the words do not decide it")
