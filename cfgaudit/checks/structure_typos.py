"""Names that are one slip of the finger from a name that is in use."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.one_edit import one_edit, slips
from cfgaudit.checks.registry import check
from cfgaudit.vocabulary.decide import Judge
from cfgaudit.vocabulary.names import split_name
from cfgaudit.vocabulary.reading import Reading, SectionReading
from cfgaudit.vocabulary.sections import read_section_name
from cfgaudit.vocabulary.words import Words, load_words, trade

SHORTEST = 5
"""Letters of a word that a single slip may be read into: shorter words have too many neighbours."""
ARBITRARY = ("macro", "alias")
"""Kinds of section whose settings are named as their owner likes."""


@dataclass(frozen=True, slots=True)
class Correction:
    """A word of a name, and the one that was probably meant."""

    written: str
    meant: str

    def apply(self, name: str) -> str:
        """The name with the word corrected."""
        for word, start, end in split_name(name):
            if word == self.written:
                return name[:start] + self.meant + name[end:]
        return name


@check("probable-typo")
def probable_typo(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A setting's or a section's name that nothing knows, one edit from a name that fits its place."""
    words = subject.words or load_words()
    siblings = _keys_by_kind(subject)
    uses = Counter(setting.key for setting in subject.tree.settings())
    known = _trade_words()
    for section in subject.reading.sections:
        if not section.parts:
            yield from _section_typo(section, siblings, words)
        elif section.parts[0].kind not in ARBITRARY:
            yield from _setting_typos(section, siblings, uses, known, words)


def _keys_by_kind(subject: Subject) -> Mapping[str, Mapping[str, str]]:
    """The names of the settings in use, by the kind of the section; folded key to name."""
    found: dict[str, dict[str, str]] = {}
    for section in subject.reading.sections:
        for part in section.parts[:1]:
            names = found.setdefault(part.kind, {})
            for reading in section.readings:
                names.setdefault(reading.setting.key, reading.setting.name)
    return found


def _trade_words() -> frozenset[str]:
    return frozenset(
        word
        for phrases in trade()["words"].values()
        for word in phrases
        if len(word) >= SHORTEST and word.isalpha()
    )


def _setting_typos(
    section: SectionReading,
    siblings: Mapping[str, Mapping[str, str]],
    uses: Counter[str],
    known: Collection[str],
    words: Words,
) -> Iterator[Problem]:
    own = {reading.setting.key for reading in section.readings}
    others = siblings.get(section.parts[0].kind, {})
    for reading in section.readings:
        if uses[reading.setting.key] > 1:
            continue
        for unknown in _unknown_words(reading.setting.name, words):
            meant = _sibling_name(unknown, reading, others, own) or _trade_name(
                unknown, section, reading, known, words, own
            )
            if meant:
                yield _problem(section, reading, meant)
                break


def _unknown_words(name: str, words: Words) -> Iterator[str]:
    """Words of a name that mean nothing and are long enough."""
    for word in words.lexicon.words(name):
        if (
            not word.concept
            and len(word.text) >= SHORTEST - 1
            and word.text.isascii()
            and word.text.isalpha()
        ):
            yield word.text


def _sibling_name(
    unknown: str, reading: Reading, others: Mapping[str, str], own: Collection[str]
) -> str | None:
    """The name in a section of the same kind that differs by one edit in this word only."""
    written = [word for word, _, _ in split_name(reading.setting.name)]
    near = one_edit(unknown)
    for key, name in others.items():
        if key in own:
            continue
        other = [word for word, _, _ in split_name(name)]
        pairs = [(one, two) for one, two in zip(written, other, strict=False) if one != two]
        if len(written) == len(other) and len(pairs) == 1 and pairs[0][0] == unknown and pairs[0][1] in near:
            return name
    return None


def _trade_name(
    unknown: str,
    section: SectionReading,
    reading: Reading,
    known: Collection[str],
    words: Words,
    own: Collection[str],
) -> str | None:
    """The corrected name, if a trade word in place of the unknown one gives it a role that it has not now."""
    if reading.role is not None or len(unknown) < SHORTEST:
        return None
    roles = {one.role for one in section.readings}
    kind = read_section_name(section.section, words)
    for meant in sorted(slips(unknown) & frozenset(known)):
        name = Correction(unknown, meant).apply(reading.setting.name)
        decision = Judge(words).decide(
            name, reading.setting.value, reading.value, kind, lambda text: frozenset()
        )
        if decision.role is not None and decision.fits and decision.role not in roles:
            return name
    return None


def _problem(section: SectionReading, reading: Reading, meant: str) -> Problem:
    setting = reading.setting
    return Problem(
        setting.effective.key_place,
        f"[{setting.section}] {setting.name} is probably meant to be {meant}",
        f"{section.section.key} {setting.key}",
        advice=f"Did you mean {meant}?",
    )


def _section_typo(
    section: SectionReading, siblings: Mapping[str, Mapping[str, str]], words: Words
) -> Iterator[Problem]:
    """A section that names no part, but would with one word corrected, and has settings of such parts."""
    place = section.section.place
    if place is None:
        return
    keys = {reading.setting.key for reading in section.readings}
    for unknown in _unknown_words(section.section.name, words):
        for meant in sorted(one_edit(unknown)) if len(unknown) >= SHORTEST else ():
            kind = words.lexicon.concept(meant)
            if kind in siblings and kind not in ARBITRARY and keys & siblings[kind].keys():
                name = Correction(unknown, meant).apply(section.section.name)
                message = f"[{section.section.name}] is probably meant to be [{name}]"
                yield Problem(place, message, section.section.key, advice=f"Did you mean [{name}]?")
                return
