"""References that settings state: every meaning with a role ``ref.*``, resolved to parts.

A reference to nothing is *sure* only where the evidence is strong: the words of the key ask for a part of
a kind, such parts (or a name much like the text) exist, and the text is a plain name, neither number, switch,
pin, option word nor the type of a component.
"""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.machine.boards import Boards
from cfgaudit.machine.model import Meaning, Part, Reference
from cfgaudit.machine.names import Names
from cfgaudit.machine.parts import distinct_meanings
from cfgaudit.machine.pieces import split_pieces, split_words
from cfgaudit.machine.wording import (
    LONGEST_NAME,
    is_absent,
    is_every,
    is_model_like,
    is_plain_name,
    letters_of,
)
from cfgaudit.nearest import edit_distance
from cfgaudit.syntax.read_pin import read_pin
from cfgaudit.syntax.value import Boolean, Opaque
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import AXES

JOINERS = frozenset({"and", "&", "+"})
"""Words that join two names."""
QUOTES = "\"' "
"""Around a name they are no part of it."""


def stated_references(names: Names, boards: Boards) -> Iterator[Reference]:
    """Every reference that a setting makes, in the order of the sections."""
    for part, meaning in distinct_meanings(names.parts):
        if not meaning.role.startswith("ref.") or isinstance(meaning.value, Boolean | Opaque):
            continue
        kind = meaning.role.removeprefix("ref.")
        yield from _Resolver(_origin(part, meaning, kind, names), meaning, kind, names, boards).references()


def _origin(part: Part, meaning: Meaning, kind: str, names: Names) -> Part:
    """Of one section's parts that share a meaning, the heater has the sensor and the fan; else the first."""
    if kind not in ("sensor", "fan"):
        return part
    mates = names.index.by_section[id(part.section)]
    return next((mate for mate in mates if mate.kind == "heater" and mate.get(meaning.role)), part)


class _Resolver:
    """Resolves one meaning."""

    def __init__(self, origin: Part, meaning: Meaning, kind: str, names: Names, boards: Boards) -> None:
        self.origin, self.meaning, self.kind = origin, meaning, kind
        self.names, self.boards = names, boards

    def references(self) -> list[Reference]:
        """One reference for each part that the text names, and one for each name that nothing has."""
        texts = (piece.text.strip(QUOTES) for piece in split_pieces(self.meaning.text))
        pieces = [text for text in texts if not is_absent(text)]
        resolved = [(piece, list(self._targets(piece))) for piece in pieces]
        found = [self._reference(text, target) for _, targets in resolved for text, target in targets]
        missing = [piece for piece, targets in resolved if not targets]
        if found:
            return found + [self._dangling(text) for text in missing if self._resembles(text)]
        return self._of_other_kind(missing) or self._missing(missing)

    def _targets(self, piece: str) -> Iterator[tuple[str, Part]]:
        """What a piece names, with the words that do: a part, several by their names, or every part."""
        if is_every(piece):
            yield from ((piece, part) for part in self.names.parts if part.kind == self.kind)
            return
        whole = self._find(piece)
        if whole is not None:
            yield piece, whole
            return
        words = [word for word in piece.split() if word.casefold() not in JOINERS]
        if self.kind == "axis":
            yield from self._axis_targets(piece)
        elif self.kind == "macro" and len(words) > 1:
            called = self.names.named(words[0], ("macro",))
            if called is not None:
                yield words[0], called
        elif len(words) > 1:
            several = [(word, part) for word in words if (part := self.names.named(word, (self.kind,)))]
            yield from several if len(several) == len(words) else ()

    def _find(self, text: str) -> Part | None:
        if self.kind == "board":
            return self.boards.find(text)
        return self.names.of_kind(text, self.kind, besides=self.origin)

    def _axis_targets(self, piece: str) -> Iterator[tuple[str, Part]]:
        for letter in _axis_letters(piece):
            part = self.names.moving(letter)
            if part is not None:
                yield letter, part

    def _of_other_kind(self, pieces: list[str]) -> list[Reference]:
        """A part of a kind that the role does not ask for, where it has exactly this name."""
        for piece in pieces:
            part = self.names.of_any_kind(piece, besides=self.origin)
            if part is not None:
                return [self._reference(piece, part)]
        return []

    def _missing(self, pieces: list[str]) -> list[Reference]:
        """The first piece that looks like a name, else the first: what follows may be anything."""
        names = [piece for piece in pieces if is_plain_name(piece)] or pieces
        return [self._dangling(text) for text in names[:1]]

    def _reference(self, text: str, target: Part) -> Reference:
        return Reference(self.origin, self.kind, text, target, self.meaning)

    def _dangling(self, text: str) -> Reference:
        near = self.names.nearest(text, self.kind) or self.names.nearest(text)
        if near is not None and fold_name(near) == fold_name(text):
            near = None  # the name of what makes the reference
        sure = self._is_sure(text, near)
        return Reference(self.origin, self.kind, text, None, self.meaning, sure=sure, nearest=near)

    def _is_sure(self, text: str, near: str | None) -> bool:
        by_one_letter = near is not None and edit_distance(fold_name(text), fold_name(near), 1) == 1
        longest = len(split_words(near or "")) + 1 if by_one_letter else LONGEST_NAME
        if not self.meaning.fits or self.origin.kind == self.kind or not is_plain_name(text, longest):
            return False
        if _may_be_pin(text) or self.names.holds(text, self.kind, besides=self.origin):
            return False  # nobody can tell which of several that have these words is meant
        if all(self.names.is_kind_word(word) for word in split_words(text)):
            return False
        if self.kind == "macro":
            return by_one_letter
        if self.kind == "axis":
            return self._is_missing_axis(text)
        if is_model_like(text):
            return near is not None and letters_of(text) != letters_of(near)
        return by_one_letter or self.kind in self.names.kinds

    def _is_missing_axis(self, text: str) -> bool:
        """x, y or z where the machine has another of them; other letters prove nothing."""
        letters = _axis_letters(text)
        known = any(self.names.moving(letter) for letter in "xyz")
        return known and (not letters or set(letters) <= set("xyz"))

    def _resembles(self, text: str) -> bool:
        return is_plain_name(text) and self.names.nearest(text, self.kind) is not None


def _may_be_pin(text: str) -> bool:
    """Whether a text is a pin where it stands in a pin's place: ``PA6`` is a plastic elsewhere."""
    pin = read_pin(text)
    return pin is not None and pin.on_chip


def _axis_letters(text: str) -> list[str]:
    """The axes that ``x``, ``x -y z`` or ``xy`` name; none where any other word stands there."""
    words = [word for word in split_words(text) if word not in JOINERS]
    letters = [letter for word in words for letter in word]
    fits = all(letter in AXES for letter in letters) and len(set(letters)) == len(letters)
    return letters if fits else []
