"""The names that a line of a macro's body may call: behind a word like "run", and of several words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from cfgaudit.checks.body import BodyLine
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.read_macro import read_macro
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.names import Lexicon

LEADS = frozenset({"act", "body", "macro", "run", "start"})
"""Concepts of the words that stand before the name of what is to run: call, do, run, execute, script …"""
TOKEN = re.compile(r"\"[^\"]*\"|'[^']*'|[^\s;(]+")
NAME = re.compile(r"[^\W\d][\w.\-]*[^\W_]")
ARGUMENT = re.compile(r"[\w.\-]+=|[+\-]?\.?\d|[\"'{\[<%$#*@;(]|[A-Za-z](?:[+\-.\d]|$)|$")
"""What may follow a call's name: anything else, an operator say, makes the line no call."""
PAIR = re.compile(r"(?P<key>[^\W\d]\w*)=(?P<name>\"[^\"]*\"|'[^']*'|[^\s;(]+)")
NUMBERED = re.compile(r"[A-Za-z][+\-]?\d[\d.]*")
"""A letter and its number: an argument."""
LONGEST = 4
"""Words of a name."""
MOST_STRAY = 1
"""Bare words that may follow a name; more of them are prose."""


class Called(NamedTuple):
    """One way to read what a line calls. ``lead`` is the folded word before the name, empty if there is none.

    ``stray`` is the number of bare words that follow the name.
    """

    line: BodyLine
    name: str
    column: int
    lead: str = ""
    stray: int = 0

    @property
    def key(self) -> str:
        return fold_name(self.name)

    @property
    def place(self) -> Place:
        return self.line.place(self.column, len(self.name))


class _Token(NamedTuple):
    text: str
    column: int
    quoted: bool = False


def called_names(line: BodyLine, lexicon: Lexicon) -> list[Called]:
    """Every way to read a line as a call, the longest names first; nothing for words of G-code and logic."""
    text = line.line.text
    if line.line.words or line.line.fault is not None:
        return []
    tokens = _names_at_start(text)
    if not tokens:
        return []
    begins = not tokens[0].quoted and _may_begin_call(tokens[0].text)
    found = list(_prefixes(line, tokens)) if begins else []
    lead = tokens[0].text.casefold()
    if len(tokens) > 1:
        found += _prefixes(line, tokens[1:], lead)
    if _leads(lead, lexicon):
        found += _paired(line, text, lexicon, lead)
    return found


def _may_begin_call(word: str) -> bool:
    """Whether a word alone is a call: template languages have words of their own."""
    return read_macro(word)[0].call is not None


def is_lead(called: Called, lexicon: Lexicon) -> bool:
    """Whether the word before the name says that something is to run."""
    return _leads(called.lead, lexicon)


def _leads(word: str, lexicon: Lexicon) -> bool:
    return bool(word) and lexicon.concept(word) in LEADS


def _names_at_start(text: str) -> list[_Token]:
    """The bare or quoted names that a line begins with, up to its first argument or comment."""
    found: list[_Token] = []
    end = len(text) - len(text.lstrip())
    for match in TOKEN.finditer(text):
        quoted = match.group()[0] in "\"'"
        name = match.group()[1:-1] if quoted else match.group()
        if text[end : match.start()].strip() or not NAME.fullmatch(name) or NUMBERED.fullmatch(name):
            break
        found.append(_Token(name, match.start() + 1 + quoted, quoted))
        end = match.end()
    return found if ARGUMENT.match(text[end:].strip()) else []


def _prefixes(line: BodyLine, tokens: Sequence[_Token], lead: str = "") -> Iterator[Called]:
    text = line.line.text
    for count in range(min(LONGEST, len(tokens)), 0, -1):
        first, last = tokens[0], tokens[count - 1]
        stray = sum(not one.quoted for one in tokens[count:])
        if count == 1 or not any(one.quoted for one in tokens[:count]):
            name = text[first.column - 1 : last.column - 1 + len(last.text)]
            yield Called(line, name, first.column, lead, stray)


def _paired(line: BodyLine, text: str, lexicon: Lexicon, lead: str) -> Iterator[Called]:
    """``run macro=wipe-nozzle``: the value of a key that speaks of macros."""
    for match in PAIR.finditer(text):
        name = match["name"].strip("\"'")
        if lexicon.concept(match["key"].casefold()) in LEADS and NAME.fullmatch(name):
            yield Called(line, name, match.start("name") + 1 + (match["name"][0] in "\"'"), lead)
