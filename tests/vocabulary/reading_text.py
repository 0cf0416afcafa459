"""Texts to what the vocabulary stage makes of them, without the stages after it."""

from __future__ import annotations

from cfgaudit.source import Memory
from cfgaudit.tree.resolve import resolve
from cfgaudit.vocabulary.read import read_roles
from cfgaudit.vocabulary.reading import Reading, SectionReading, TreeReading
from cfgaudit.vocabulary.words import WordOverrides, load_words


def read_text(text: str, overrides: WordOverrides | None = None) -> TreeReading:
    tree = resolve(Memory({"machine.ini": text.encode()}), "machine.ini")
    return read_roles(tree, load_words(overrides))


def section_of(text: str, overrides: WordOverrides | None = None, at: int = 0) -> SectionReading:
    """The first section of a text, or the one at a place."""
    return read_text(text, overrides).sections[at]


def kinds_of(text: str, overrides: WordOverrides | None = None) -> list[str]:
    """The kinds of the parts that the first section of a text describes."""
    return [part.kind for part in section_of(text, overrides).parts]


def reading_of(section: str, line: str, overrides: WordOverrides | None = None) -> Reading:
    """The reading of a section's only setting."""
    return section_of(f"[{section}]\n{line}\n", overrides).readings[0]


def role_of(section: str, line: str, overrides: WordOverrides | None = None) -> str | None:
    """The role of a section's only setting; None also where the value contradicts it."""
    reading = reading_of(section, line, overrides)
    return reading.role if reading.fits else None
