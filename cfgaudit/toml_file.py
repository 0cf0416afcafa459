"""A TOML file that its user wrote: parsed, with the lines of its keys, so that errors can name them."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from typing import Any, NamedTuple

from cfgaudit.nearest import or_nearest

KeyPath = tuple[str | int, ...]
"""Keys from the top of the file; an array of tables counts from 0: ``("rule", 0, "require", "fact")``."""

_KEY = r"""(?:[\w-]+|"[^"\n]*"|'[^'\n]*')"""
_DOTTED = rf"{_KEY}(?:\s*\.\s*{_KEY})*"
_HEADER = re.compile(rf"\s*(\[\[?)\s*({_DOTTED})\s*\]\]?\s*(?:#.*)?$")
_ENTRY = re.compile(rf"\s*({_DOTTED})\s*=")
_ONE_KEY = re.compile(_KEY)
_AT = re.compile(r"^(.*?) \(at line (\d+), column (\d+)\)$", re.DOTALL)
_AT_END = " (at end of document)"


class ProjectError(Exception):
    """A ``cfgaudit.toml``, or a vocabulary file, that cannot be used.

    The message is one line: the file, the line, what is wrong and what is expected.
    """


class TomlFile(NamedTuple):
    """The parsed tables and the line of each key."""

    path: str
    tables: Mapping[str, Any]
    lines: Mapping[KeyPath, int]

    def error(self, keys: KeyPath, message: str) -> ProjectError:
        """The error that names the line of a key, or of the nearest table around it."""
        around = (keys[:length] for length in range(len(keys), 0, -1))
        line = next((self.lines[one] for one in around if one in self.lines), 1)
        return ProjectError(f"{self.path}:{line}: {message}")

    def table(self, name: str) -> Mapping[str, Any]:
        """A table; empty where it is missing."""
        table = self.tables.get(name, {})
        if not isinstance(table, dict):
            raise self.error((name,), f"{name} must be a table, [{name}]")
        return table

    def known(
        self, keys: KeyPath, table: Mapping[str, Any], names: Collection[str], kind: str = "key"
    ) -> None:
        """Raise ProjectError if the table has another key."""
        where = f" in [{keys[0]}]" if keys else ""
        for key in table:
            if key not in names:
                raise self.error((*keys, key), f"unknown {kind} {or_nearest(key, names)}{where}")

    def text(self, keys: KeyPath, value: object) -> str:
        """A text that is not empty."""
        if not isinstance(value, str) or not value.strip():
            raise self.error(keys, f"{keys[-1]} must be a text, not {shown(value)}")
        return value

    def texts(self, keys: KeyPath, value: object) -> tuple[str, ...]:
        """One text or a list of texts."""
        several = value if isinstance(value, list) else [value]
        if not all(isinstance(one, str) and one.strip() for one in several):
            raise self.error(keys, f"{keys[-1]} must be a text or a list of texts, not {shown(value)}")
        return tuple(several)

    def choice(self, keys: KeyPath, value: object, names: Collection[str]) -> str:
        """A text that is one of ``names``."""
        if not isinstance(value, str) or value not in names:
            expected = ", ".join(f'"{name}"' for name in names)
            raise self.error(keys, f"{keys[-1]} must be one of {expected}, not {shown(value)}")
        return value


def shown(value: object) -> str:
    """A value as its user may recognise it."""
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 40 else f"{text[:37]}..."


def parse_toml(path: str, data: bytes) -> TomlFile:
    """The file's tables. Raises ProjectError with line and column where it is no TOML."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise ProjectError(f"{path}:{line}: not UTF-8: save the file as UTF-8") from None
    import tomllib  # most machines have no such file

    try:
        tables = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(path, text, str(error)) from None
    except RecursionError:
        raise ProjectError(f"{path}:1: not usable: its values are nested too deeply") from None
    return TomlFile(path, tables, dict(_key_lines(text)))


def _not_toml(path: str, text: str, message: str) -> ProjectError:
    if match := _AT.match(message):
        what, line, column = match[1], int(match[2]), int(match[3])
    else:
        lines = text.rstrip("\n").split("\n")
        what, line, column = message.removesuffix(_AT_END), len(lines), len(lines[-1]) + 1
    what = " ".join(what.split())
    return ProjectError(f"{path}:{line}:{column}: not valid TOML: {what[:1].lower()}{what[1:]}")


def _key_lines(text: str) -> Iterator[tuple[KeyPath, int]]:
    """Every key that begins a line, and every table, with its line; the first line of each."""
    seen: set[KeyPath] = set()
    for keys, line in _all_key_lines(text):
        if keys not in seen:
            seen.add(keys)
            yield keys, line


def _all_key_lines(text: str) -> Iterator[tuple[KeyPath, int]]:
    table: KeyPath = ()
    counts: dict[KeyPath, int] = {}
    within: str | None = None
    for number, line in enumerate(text.split("\n"), 1):
        if within is not None:
            within = within if line.count(within) % 2 == 0 else None
            continue
        if header := _HEADER.match(line):
            table = _table_path(header[1], _keys(header[2]), counts)
            yield table, number
        elif entry := _ENTRY.match(line):
            keys = _keys(entry[1])
            for length in range(1, len(keys) + 1):
                yield (*table, *keys[:length]), number
        within = next((mark for mark in ('"""', "'''") if line.count(mark) % 2), None)


def _table_path(bracket: str, keys: KeyPath, counts: dict[KeyPath, int]) -> KeyPath:
    """The path of a header, with the index of each array of tables that it lies in."""
    path: KeyPath = ()
    for key in keys[:-1]:
        path = (*path, key)
        path = (*path, counts[path] - 1) if path in counts else path
    path = (*path, keys[-1])
    if bracket == "[[":
        counts[path] = counts.get(path, 0) + 1
    return (*path, counts[path] - 1) if path in counts else path


def _keys(dotted: str) -> tuple[str, ...]:
    return tuple(key.strip("\"'") for key in _ONE_KEY.findall(dotted))
