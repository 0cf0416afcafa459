"""Values that were left for somebody to fill in."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.placeholder_text import is_placeholder
from cfgaudit.checks.registry import check
from cfgaudit.syntax.read_value import read_value
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.decide import Judge
from cfgaudit.vocabulary.reading import Reading, SectionReading
from cfgaudit.vocabulary.sections import read_section_name
from cfgaudit.vocabulary.words import Words, load_words

A_PIN = "PA1"
BOARD_FIRST = re.compile(r"\s*+[^\w\s<]*+\s*+(?P<board>[^\W\d][\w \-]*+)\s*+[.:/]\s*+(?P<pin>\S.*)")
BOARD_LAST = re.compile(r"(?P<pin>[^@\n]++)@\s*+(?P<board>\w[\w \-]*+)")
"""Nothing is tried twice (the possessive repeats): values may be long."""
MARKS = re.compile(r"\s*[^\w\s<]+\s*")
"""What may stand before the name of a pin."""


@check("placeholder-left")
def placeholder_left(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A placeholder as a whole value, or behind a board's name.

    Those of alias tables may be names of contacts: they are not judged.
    """
    words = subject.words or load_words()
    found = subject.machine.kind("board")
    boards = {fold_name(name) for board in found for name in (board.name, board.section.name)}
    for section in subject.reading.sections:
        if any(part.kind == "alias" for part in section.parts):
            continue
        for reading in section.readings:
            if reading.role == "macro.body":
                continue
            if is_placeholder(reading.setting.value) or _is_left_of_pin(section, reading, boards, words):
                yield _left(section, reading, words)


def _is_left_of_pin(section: SectionReading, reading: Reading, boards: Collection[str], words: Words) -> bool:
    """Whether only the board's name is filled in: ``main.CHANGE_ME``, ``!head:xxx``, ``FILL_IN@head``."""
    found = BOARD_FIRST.fullmatch(reading.setting.value) or BOARD_LAST.fullmatch(reading.setting.value)
    if found is None or not (is_placeholder(found["pin"]) or is_placeholder(MARKS.sub("", found["pin"], 1))):
        return False
    role = reading.role or _role_of_a_pin(section, reading, words)
    return fold_name(found["board"]) in boards or (role is not None and ROLES[role].shape == "pin")


def _left(section: SectionReading, reading: Reading, words: Words) -> Problem:
    setting = reading.setting
    name = f"[{setting.section}] {setting.name}" if setting.section else setting.name
    role = reading.role or _role_of_a_pin(section, reading, words)
    sure = role is not None and ROLES[role].shape != "text"
    return Problem(
        setting.place,
        f"{name} is still the placeholder {setting.value.strip()}",
        f"{section.section.key} {setting.key}",
        severity=None if sure else Severity.WARNING,
    )


def _role_of_a_pin(section: SectionReading, reading: Reading, words: Words) -> str | None:
    """The role that the setting would have with a pin for a value, unless any setting would have it."""
    kind = read_section_name(section.section, words)
    decision = Judge(words).decide(
        reading.setting.name, A_PIN, read_value(A_PIN), kind, lambda text: frozenset()
    )
    return decision.role if decision.role != "pin.other" else None
