"""Names that are one slip of the finger from a name that is in use."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cached_property

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.one_edit import Neighbours, slips
from cfgaudit.checks.registry import check
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import PART_KINDS
from cfgaudit.vocabulary.decide import Judge
from cfgaudit.vocabulary.names import split_name
from cfgaudit.vocabulary.reading import Reading, SectionReading
from cfgaudit.vocabulary.sections import read_section_name
from cfgaudit.vocabulary.words import Words, load_words, trade

SHORTEST = 5
"""Letters of a word that a single slip may be read into: shorter words have too many neighbours."""
LONGEST = 40
"""Letters of a word that may hold a slip: no proper word is longer, a long one has too many neighbours."""
ARBITRARY = ("macro", "alias")
"""Kinds of section whose settings are named as their owner likes."""


class Names:
    """What names a machine uses, and what its vocabulary knows; each worked out when it is first needed."""

    def __init__(self, subject: Subject) -> None:
        self._subject = subject
        self.words = subject.words or load_words()
        self.judge = Judge(self.words)

    @cached_property
    def trade(self) -> frozenset[str]:
        """Single words of the trade that are long enough."""
        return frozenset(word for words in self._known.values() for word in words)

    @cached_property
    def uses(self) -> Counter[str]:
        """How often each setting's folded name stands in the machine."""
        return Counter(setting.key for setting in self._subject.tree.settings())

    @cached_property
    def by_kind(self) -> Mapping[str, Mapping[str, str]]:
        """The settings' names in sections of a kind: folded name to name."""
        names: dict[str, dict[str, str]] = {}
        for section in self._subject.reading.sections:
            for part in section.parts[:1]:
                of_kind = names.setdefault(part.kind, {})
                for reading in section.readings:
                    of_kind.setdefault(reading.setting.key, reading.setting.name)
        return names

    @cached_property
    def used(self) -> Neighbours:
        """The words of all settings' names."""
        names = dict.fromkeys(setting.name for setting in self._subject.tree.settings())
        return Neighbours(word for name in names for word, _, _ in split_name(name))

    @cached_property
    def parts(self) -> Neighbours:
        """The words that name a part."""
        return Neighbours(word for kind in PART_KINDS & self._known.keys() for word in self._known[kind])

    @cached_property
    def _known(self) -> Mapping[str, Sequence[str]]:
        """Concept to its words that are long enough, the builder's own included."""
        own = self.words.overrides.words
        phrases = {concept: (*known, *own.get(concept, ())) for concept, known in trade()["words"].items()}
        return {concept: [one for one in known if _is_word(one)] for concept, known in phrases.items()}


@check("probable-typo")
def probable_typo(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A setting's or a section's name that nothing knows, one edit from a name that fits its place."""
    names = Names(subject)
    for section in subject.reading.sections:
        yield from _section_typo(section, names)
        if section.parts and section.parts[0].kind not in ARBITRARY:
            yield from _setting_typos(section, names)


def _is_word(phrase: str) -> bool:
    return len(phrase) >= SHORTEST and phrase.isalpha()


def _setting_typos(section: SectionReading, names: Names) -> Iterator[Problem]:
    own = {reading.setting.key for reading in section.readings}
    for reading in section.readings:
        if names.uses[reading.setting.key] > 1:
            continue
        for unknown in _unknown_words(reading.setting.name, names.words):
            meant = _sibling_name(unknown, section, reading, own, names)
            meant = meant or _trade_name(unknown, section, reading, names)
            if meant:
                yield _problem(section, reading, meant)
                break


def _unknown_words(name: str, words: Words) -> Iterator[str]:
    """Words of a name that mean nothing and are long enough."""
    for word in words.lexicon.words(name):
        if (
            not word.concept
            and SHORTEST - 1 <= len(word.text) <= LONGEST
            and word.text.isascii()
            and word.text.isalpha()
        ):
            yield word.text


def _sibling_name(
    unknown: str, section: SectionReading, reading: Reading, own: Collection[str], names: Names
) -> str | None:
    """The name in a section of the same kind that differs by one edit in this word only."""
    siblings = names.by_kind[section.parts[0].kind]
    for meant in names.used.of(unknown):
        key = fold_name(_corrected(reading.setting.name, unknown, meant))
        if key in siblings and key not in own and _is_settled(unknown, meant, key, names):
            return siblings[key]
    return None


def _is_settled(unknown: str, meant: str, key: str, names: Names) -> bool:
    """Whether it is clear which of two near words is the slip, and that it is one.

    Of two words that nothing knows, a replaced letter may make two proper ones (brace, trace).
    """
    return bool(names.words.lexicon.concept(meant)) or (names.uses[key] > 1 and meant in slips(unknown))


def _trade_name(unknown: str, section: SectionReading, reading: Reading, names: Names) -> str | None:
    """The corrected name, if a trade word in place of the unknown one gives it a role that it has not now."""
    if reading.role is not None or len(unknown) < SHORTEST:
        return None
    roles = {one.role for one in section.readings}
    kind = read_section_name(section.section, names.words)
    value = reading.setting.value
    for meant in sorted(slips(unknown) & names.trade):
        name = _corrected(reading.setting.name, unknown, meant)
        decision = names.judge.decide(name, value, reading.value, kind, lambda text: frozenset())
        if decision.role is not None and decision.fits and decision.role not in roles:
            return name
    return None


def _corrected(name: str, written: str, meant: str) -> str:
    """The name with one word replaced."""
    for word, start, end in split_name(name):
        if word == written:
            return name[:start] + meant + name[end:]
    return name


def _problem(section: SectionReading, reading: Reading, meant: str) -> Problem:
    setting = reading.setting
    return Problem(
        setting.effective.key_place,
        f"[{setting.section}] {setting.name} is probably meant to be {meant}",
        f"{section.section.key} {setting.key}",
        advice=f"Did you mean {meant}?",
    )


def _section_typo(section: SectionReading, names: Names) -> Iterator[Problem]:
    """A section that no word of its name names a part, but one would with a single edit.

    Beside that it has settings as such parts have them here, or its other words say the same kind of part.
    """
    name = section.section.name
    if any(word.concept in PART_KINDS for word in names.words.lexicon.words(name)):
        return
    place = section.section.place
    if place is None:
        return
    for unknown in _unknown_words(name, names.words):
        for meant in names.parts.of(unknown) if len(unknown) >= SHORTEST else ():
            if _fits(names.words.lexicon.concept(meant), section, names):
                corrected = _corrected(name, unknown, meant)
                message = f"[{name}] is probably meant to be [{corrected}]"
                yield Problem(place, message, section.section.key, advice=f"Did you mean [{corrected}]?")
                return


def _fits(kind: str, section: SectionReading, names: Names) -> bool:
    """Whether the section may well be of that kind."""
    if section.parts:
        return kind == section.parts[0].kind
    keys = {reading.setting.key for reading in section.readings}
    return kind not in ARBITRARY and bool(keys & names.by_kind.get(kind, {}).keys())
