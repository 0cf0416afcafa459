"""A first look at files that may or may not be configuration."""

from __future__ import annotations

import posixpath
import re
from collections import Counter

from cfgaudit.paths import is_backup, is_hidden
from cfgaudit.source import Source, SourceError, check_text
from cfgaudit.syntax.dialect import DETECT, Traits
from cfgaudit.syntax.document import Entry, Header, Include, Unreadable
from cfgaudit.syntax.parse import parse

INI_SUFFIXES = frozenset({".ini", ".cfg", ".conf", ".config", ".cnf"})
"""Suffixes that general INI files have; such a file is one whatever it holds."""
OTHER_SUFFIXES = frozenset({".toml", ".lock", ".md", ".rst", ".log", ".service", ".desktop"})
"""Suffixes of files that read like INI files and are none that a firmware reads."""
SIZE_AT_MOST = 1024 * 1024
UNREADABLE_AT_MOST = 0.05
"""Of the lines that say something: prose with a listing in it has more."""
HEADER_LINE = re.compile(rb"^[ \t]*\[[^\]\r\n]+\]", re.MULTILINE)


def suffix_of(path: str) -> str:
    return posixpath.splitext(path)[1].lower()


def may_be_configuration(path: str) -> bool:
    """Whether a file's name allows that it is one."""
    return not is_hidden(path) and not is_backup(path) and suffix_of(path) not in OTHER_SUFFIXES


def read_small(source: Source, path: str) -> bytes | None:
    """The bytes of a text file of a configuration's size, else None."""
    try:
        data = source.read(path)
        check_text(path, data)
    except SourceError:
        return None
    return data if len(data) <= SIZE_AT_MOST else None


def includes_in(data: bytes, path: str, traits: Traits = DETECT) -> tuple[Include, ...]:
    """The include directives of a file. Every form has this word, so most files need no parsing."""
    if b"include" not in data.lower():
        return ()
    return tuple(node for node in parse(data, path, traits).nodes if isinstance(node, Include))


def reads_as_configuration(
    data: bytes, path: str, traits: Traits = DETECT, *, leads_to_files: bool = False
) -> bool:
    """Whether a file is one by its suffix, or by what it holds: headers with entries, hardly more.

    Includes count as much where they lead to files; else they may be words of a sentence.
    """
    if suffix_of(path) in INI_SUFFIXES:
        return True
    if not leads_to_files and HEADER_LINE.search(data) is None:
        return False
    kinds = Counter(type(node) for node in parse(data, path, traits).nodes)
    sayings = kinds[Header] + kinds[Entry] + kinds[Include]
    says_enough = leads_to_files or bool(kinds[Header] and kinds[Entry])
    return says_enough and kinds[Unreadable] <= UNREADABLE_AT_MOST * sayings
