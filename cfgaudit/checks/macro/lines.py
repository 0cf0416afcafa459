"""Lines of macros that no interpreter can read."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cfgaudit.checks.body import BodyLine, all_lines, macro_title
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.limit_value import words
from cfgaudit.checks.registry import check
from cfgaudit.syntax.gcode import Fault, Word
from cfgaudit.tree.names import fold_name

SAYINGS = {
    "number": "{} holds no number that can be read",
    "missing": "{} moves nowhere, its number is missing",
    "junk": "{} is no word of a move",
    "comment": "the comment {} is never closed",
    "glued": "the number between G and the rest of {} is missing",
}

PLAIN = re.compile(r"[\w\s.,:+\-/]*(?:[;(*].*)?")
"""Text of no template language, a comment after it. With other marks before that it may hold a placeholder of
a language that is unknown to us."""


@check("gcode-malformed")
def gcode_malformed(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A line that begins as G-code and is none."""
    for line in all_lines(subject.machine):
        fault = line.line.fault
        if fault is None or fault.kind == "unbalanced" or _is_something_else(subject, line, fault):
            continue
        text = fault.text.strip()
        yield Problem(
            line.place(fault.column, len(text)),
            f"{macro_title(line.macro)}: {SAYINGS[fault.kind].format(text)}",
            subject=f"{macro_title(line.macro)} {line.line.text.strip()}",
        )


def _is_something_else(subject: Subject, line: BodyLine, fault: Fault) -> bool:
    if fault.kind in ("junk", "missing"):
        return PLAIN.fullmatch(line.line.text[fault.column - 1 :]) is None
    called = line.call is not None and line.call.target is not None
    return fault.kind == "glued" and (called or fold_name(fault.text) in subject.firmware_commands)


@check("placeholder-unbalanced")
def placeholder_unbalanced(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A placeholder that nothing closes, or that nothing opened."""
    for line in all_lines(subject.machine):
        fault = line.line.fault
        if fault is not None and fault.kind == "unbalanced":
            told = "is never opened" if fault.text.strip() in ("}", ")") else "is never closed"
            yield Problem(
                line.place(fault.column, len(fault.text)),
                f"{macro_title(line.macro)}: the placeholder that {fault.text} "
                f"{'closes' if told == 'is never opened' else 'opens'} {told}",
                subject=f"{macro_title(line.macro)} {line.line.text.strip()}",
            )


@check("modal-group-clash")
def modal_group_clash(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Two words of one modal group on one line. After M and T a text may follow, so only lines of G count."""
    groups = {code: name for name in limits for code in words(limits, name)}
    for line in all_lines(subject.machine):
        if line.line.opaque or not line.codes or not line.codes[0].startswith("G"):
            continue
        first: dict[str, Word] = {}
        for word in line.line.words:
            group = groups.get(word.code) if word.letter == "G" and word.number is not None else None
            other = first.setdefault(group, word) if group is not None else word
            if other is not word:
                yield Problem(
                    line.word_place(word),
                    f"{macro_title(line.macro)}: {other.code} and {word.code} stand on one line, "
                    "but only one of them can count",
                    subject=f"{macro_title(line.macro)} {other.code} {word.code}",
                    related=(line.word_place(other),),
                )
