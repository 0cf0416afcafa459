"""The names that parts answer to."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from functools import cached_property

from cfgaudit.machine.index import AXIS_KINDS, MachineIndex
from cfgaudit.machine.model import STAND_INS, Part
from cfgaudit.machine.pieces import split_words
from cfgaudit.nearest import NearNames
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import PART_KINDS

Table = dict[str, list[Part]]


class Names:
    """Finds parts by what a text calls them, whatever its case and separators.

    A part's *own* names are its name, its section's whole name, and its name with its kind before or after
    it. Its *loose* names are its name or its section's without the first or last words, in another order of
    words, its kind alone, and for what moves an axis the axis letter; a loose name counts only where one
    section of the wanted kind has it. Before or after the name a text may have a kind word: the kind
    itself, or a word that the names of such sections have besides the part's name (``thermometer`` of
    ``[thermometer air]``).
    """

    def __init__(self, parts: Sequence[Part]) -> None:
        self.parts = parts
        self.index = MachineIndex(parts, ())
        """Of the parts alone, before any reference is known."""
        self.kinds = frozenset(part.kind for part in parts)
        self._own: Table = defaultdict(list)
        for part in parts:
            for name in own_names(part):
                self._own[name].append(part)

    @cached_property
    def _loose(self) -> Table:
        table: Table = defaultdict(list)
        for part in self.parts:
            for name in _loose_names(part):
                table[name].append(part)
        return table

    def named(self, text: str, kinds: Collection[str] | None = None) -> Part | None:
        """The first part, of these kinds if any are given, that has the text for an own name."""
        hits = self._own.get(fold_name(text), ())
        return next((part for part in hits if kinds is None or part.kind in kinds), None)

    def of_kind(self, text: str, kind: str, *, besides: Part | None = None) -> Part | None:
        """The part of this kind that a text means, else one of a kind that stands in for it.

        ``besides`` makes the reference: the parts of its own section do not stand in.
        """
        forms = _forms(text)
        found = self._by_forms(forms, (kind,), None) or self._without_kind_word(text, (kind,), None)
        if found is not None or kind not in STAND_INS:
            return found
        others = STAND_INS[kind]
        return self._by_forms(forms, others, besides) or self._without_kind_word(text, others, besides)

    def of_any_kind(self, text: str, *, besides: Part) -> Part | None:
        """The part of whatever kind that has the text for an own name."""
        hits = self._own.get(fold_name(text), ())
        return next((part for part in hits if part.section is not besides.section), None)

    def moving(self, letter: str) -> Part | None:
        """The part that stands for an axis: its axis section, else what moves it, else what limits it."""
        return self._moving.get(letter)

    @cached_property
    def _moving(self) -> dict[str, Part]:
        table: dict[str, Part] = {}
        for part in sorted(self.parts, key=lambda one: one.kind != "axis"):
            if part.axis and part.kind in AXIS_KINDS:
                table.setdefault(part.axis, part)
        for part in self.parts:
            for meaning in part.meanings if part.kind in ("axis", "motion") else ():
                if meaning.axis:
                    table.setdefault(meaning.axis, part)
        return table

    def nearest(self, text: str, kind: str | None = None) -> str | None:
        """The most similar name of a part of this kind, or of any, as the part's owner writes it."""
        if kind not in self._near:
            self._near[kind] = NearNames(self._spellings(kind))
        near = self._near[kind].nearest(fold_name(text))
        return self._spellings(kind)[near] if near is not None else None

    def _by_forms(self, forms: Sequence[str], kinds: Collection[str], besides: Part | None) -> Part | None:
        for form in forms:
            hits = _of_kinds(self._own.get(form, ()), kinds, besides)
            if hits:
                return hits[0]
            lone = _of_one_section(self._loose.get(form, ()), kinds, besides)
            if lone is not None:
                return lone
        return None

    def _without_kind_word(self, text: str, kinds: Collection[str], besides: Part | None) -> Part | None:
        words = split_words(text)
        if len(words) < 2:
            return None
        kind_words = {word for kind in kinds for word in self.kind_words(kind)}
        for dropped, rest in ((words[0], words[1:]), (words[-1], words[:-1])):
            if dropped in kind_words and (
                hits := _of_kinds(self._own.get("".join(rest), ()), kinds, besides)
            ):
                return next((part for part in hits if fold_name(part.name) == "".join(rest)), None)
        return None

    def holds(self, text: str, kind: str, *, besides: Part) -> bool:
        """Whether another section's name holds a text's words, one behind the other.

        Of this kind, or one of which no word of its name says the kind: that may be of this kind as well.
        """
        words = f" {' '.join(split_words(text))} "
        return any(
            any(words in f" {' '.join(split_words(name))} " for name in part.callings)
            for part in self.parts
            if (part.kind == kind or part.name == part.section.name) and part.section is not besides.section
        )

    def is_kind_word(self, word: str) -> bool:
        """Whether a word, or its singular, is a kind or stands for one in any section's name."""
        forms = {word, word.removesuffix("s")}
        return not forms.isdisjoint(PART_KINDS) or any(forms & words for words in self._kind_words.values())

    def kind_words(self, kind: str) -> set[str]:
        """The kind, and the words that names of such sections have besides the part's name."""
        return self._kind_words.get(kind, {kind})

    @cached_property
    def _kind_words(self) -> dict[str, set[str]]:
        table: defaultdict[str, set[str]] = defaultdict(set)
        for part in self.parts:
            table[part.kind] |= {part.kind, *split_words(part.section.name)} - set(split_words(part.name))
        return table

    def _spellings(self, kind: str | None) -> dict[str, str]:
        if kind not in self._spelt:
            self._spelt[kind] = {
                fold_name(name): name
                for part in self.parts
                if kind in (None, part.kind)
                for name in (part.section.name, part.name)
                if fold_name(name)
            }
        return self._spelt[kind]

    @cached_property
    def _spelt(self) -> dict[str | None, dict[str, str]]:
        return {}

    @cached_property
    def _near(self) -> dict[str | None, NearNames]:
        return {}


def own_names(part: Part) -> set[str]:
    """The folded names that are a part's own."""
    name = fold_name(part.name)
    names = {part.section.key, name}
    if name:
        names |= {part.kind + name, name + part.kind}
    return names - {""}


def _loose_names(part: Part) -> Iterator[str]:
    words = split_words(part.section.name)
    yield part.kind
    if len(words) > 1:
        yield from ("".join(words[start:]) for start in range(1, len(words)))
        yield _bag(words)
        yield from ("".join(words[:end]) for end in range(1, len(words)))
        own = split_words(part.name)
        yield from ("".join(own[:end]) for end in range(1, len(own)))
    if part.axis and part.kind in AXIS_KINDS:
        yield from (part.axis, part.kind + part.axis, part.axis + part.kind)


def _bag(words: Sequence[str]) -> str:
    return " ".join(sorted(words))


def _forms(text: str) -> list[str]:
    """The ways to read a name, best first: as it stands, without punctuation, with its words in any order."""
    words = split_words(text)
    forms = [fold_name(text), "".join(words), _bag(words) if len(words) > 1 else ""]
    return [form for form in dict.fromkeys(forms) if form]


def _of_kinds(parts: Sequence[Part], kinds: Collection[str], besides: Part | None) -> list[Part]:
    hidden = besides.section if besides is not None else None
    return [part for part in parts if part.kind in kinds and part.section is not hidden]


def _of_one_section(parts: Sequence[Part], kinds: Collection[str], besides: Part | None) -> Part | None:
    """The first part of these kinds, unless parts of several sections are."""
    hidden = besides.section if besides is not None else None
    first: Part | None = None
    for part in parts:
        if part.kind in kinds and part.section is not hidden:
            if first is not None and part.section is not first.section:
                return None
            first = first or part
    return first
