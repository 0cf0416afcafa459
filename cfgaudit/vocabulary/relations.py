"""Settings that name another part: which kind it is where the words say only that there is a relation."""

from __future__ import annotations

from collections.abc import Sequence

from cfgaudit.vocabulary.candidates import heads_of
from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.fitting import Choice
from cfgaudit.vocabulary.listen import Said
from cfgaudit.vocabulary.sections import OTHER
from cfgaudit.vocabulary.shapes import Fit, Resolves, first_piece
from cfgaudit.vocabulary.words import Words

ALIKE = {"motor": frozenset({"motor", "axis"}), "axis": frozenset({"axis", "motor"})}
"""Kinds that stand for one another where a part is named: an axis' section often is its motor's."""


def likeliest(level: Sequence[Choice], head: str, words: Words) -> Choice | None:
    """Of several references that a relation may be, the one that a part of this kind makes most."""
    by_role = {choice[0].role: choice for choice in level}
    if not all(role.startswith("ref.") for role in by_role):
        return None
    wanted = (f"ref.{kind}" for kind in words.refers.get(head or OTHER, ()))
    return next((by_role[role] for role in wanted if role in by_role), None)


def named_part(text: str, head: str, resolves: Resolves, words: Words) -> str | None:
    """The reference that a part of a kind makes to the one whose name a value is; None if it is no name."""
    kinds = resolves(text) or resolves(first_piece(text))
    if not kinds - {"alias"}:
        return None
    for wanted in words.refers.get(head or OTHER, ()):
        role = f"ref.{wanted}"
        if kinds & ALIKE.get(wanted, {wanted}) and ROLES[role].parts & heads_of(head, words):
            return role
    return None


def may_be_name(found: Choice | None, said: Said) -> bool:
    """Whether what the words say leaves it open that the value is another part's name."""
    if found is None:
        return True
    candidate, fit = found
    if candidate.role.startswith("ref."):
        return candidate.role.partition(".")[2] not in said.concepts
    shape = ROLES[candidate.role].shape
    return (
        fit is Fit.NO
        or (shape == "text" and "kind" not in said.concepts)
        or (shape == "pin" and fit is Fit.WEAK)
    )
