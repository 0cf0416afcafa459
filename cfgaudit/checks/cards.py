"""Cards: one TOML file a rule, read into a Rule. The head is all before the first example."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from itertools import chain
from pathlib import Path
from typing import Any, NamedTuple

from cfgaudit.checks.finding import Limit, Severity
from cfgaudit.checks.rule import Rule, placeholders
from cfgaudit.data import data_folder
from cfgaudit.kept import kept

EXAMPLES = re.compile(r"^\[\[(?:bad|good)\]\]", re.MULTILINE)
TEXTS = ("title", "severity", "why", "advice", "source")
LIMIT_KEYS = frozenset({"value", "unit", "source"})
NO_CONCERN = "symptoms"
"""A folder beside those of the concerns that holds no cards."""


class CardError(Exception):
    """A card that cannot be used; the message names the card, the key and what is expected."""


class Example(NamedTuple):
    """Config text that shows a rule. ``files`` maps paths to text, the main file first.

    ``places`` are the files and lines at which the rule must find something: empty for a good example.
    """

    bad: bool
    files: Mapping[str, str]
    places: tuple[tuple[str, int], ...] = ()
    encoding: str = "utf-8"
    project: str | None = None
    note: str = ""


@cache
def load_cards() -> Mapping[str, Rule]:
    """The rule of every card, by name, sorted; function-form rules have no check yet.

    Raises CardError if a card is no valid card.
    """
    paths = sorted(_paths("*"), key=lambda path: path.stem)
    texts = {path.stem: head_text(path) for path in paths}
    heads = kept("cards", chain(*texts.items()), lambda: {name: _parse(texts[name], name) for name in texts})
    return {path.stem: read_head(heads[path.stem], path.stem, path.parent.name) for path in paths}


def card_path(rule: str) -> Path:
    """Where the card of a rule is. Raises CardError if there is none."""
    found = next(_paths(rule), None)
    if found is None:
        raise CardError(f"there is no card for the rule {rule}")
    return found


def _paths(rule: str) -> Iterator[Path]:
    found = data_folder("rules").glob(f"*/{rule}.toml")
    return (path for path in found if path.parent.name != NO_CONCERN)


def head_text(path: Path) -> str:
    """The text of a card without its examples."""
    text = path.read_text(encoding="utf-8")
    first = EXAMPLES.search(text)
    return text[: first.start()] if first else text


def _parse(text: str, name: str) -> dict[str, Any]:
    """A card or its head as tomllib reads it. Raises CardError."""
    import tomllib  # rarely needed: heads are kept

    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise CardError(f"{name}: not valid TOML: {error}") from error


def read_head(head: Mapping[str, Any], name: str, concern: str) -> Rule:
    """The rule of one parsed head."""
    if unknown := sorted(set(head) - {*TEXTS, "limits", "require"}):
        raise CardError(f"{name}: unknown key {unknown[0]}")
    for key in TEXTS:
        if not isinstance(head.get(key), str) or not head[key].strip():
            raise CardError(f"{name}: {key} must be a text")
    limits = dict(read_limits(head.get("limits", {}), name))
    for field in ("why", "advice"):
        for placeholder in placeholders(head[field]):
            if placeholder not in limits:
                raise CardError(f"{name}: {field} names {{{placeholder}}}, which is no limit of the card")
    rule = Rule(
        name=name,
        title=head["title"],
        severity=read_severity(head["severity"], name),
        concern=concern,
        advice=head["advice"],
        why=head["why"].strip(),
        source=head["source"],
        limits=limits,
    )
    return with_requirement(rule, head["require"]) if "require" in head else rule


def with_requirement(rule: Rule, table: object) -> Rule:
    """The rule with what its ``require`` table asks for. Raises CardError."""
    from dataclasses import replace

    from cfgaudit.checks.require import requirement_check
    from cfgaudit.checks.requirement import read_requirement

    requirement = read_requirement(table, rule)
    return replace(rule, requirement=requirement, check=requirement_check(requirement))


def read_severity(text: object, name: str) -> Severity:
    """The severity of that name. Raises CardError."""
    try:
        return Severity(str(text))
    except ValueError:
        raise CardError(f"{name}: severity must be one of {', '.join(Severity)}, not {text}") from None


def read_limits(table: object, name: str) -> Iterator[tuple[str, Limit]]:
    """Each limit of a ``limits`` table. Raises CardError."""
    if not isinstance(table, dict):
        raise CardError(f"{name}: limits must be a table")
    for limit, entry in table.items():
        if not isinstance(entry, dict) or set(entry) != LIMIT_KEYS:
            raise CardError(f"{name}: the limit {limit} must have value, unit and source")
        yield (
            limit,
            Limit(limit, read_limit_value(entry["value"], name, limit), entry["unit"], entry["source"]),
        )


def read_limit_value(value: object, name: str, limit: str) -> float | tuple[float, ...] | tuple[str, ...]:
    """A number, several numbers, or several words. Raises CardError."""
    if is_number(value):
        return value  # type: ignore[return-value]
    if (
        isinstance(value, list)
        and value
        and (all(is_number(one) for one in value) or all(isinstance(one, str) for one in value))
    ):
        return tuple(value)
    raise CardError(f"{name}: the limit {limit} must be a number, or a list of numbers or of words")


def is_number(value: object) -> bool:
    """Whether a TOML value is a number; a boolean is none."""
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def load_examples(rule: str) -> tuple[Example, ...]:
    """The examples of a rule's card, in its order. Raises CardError."""
    path = card_path(rule)
    card = _parse(path.read_text(encoding="utf-8"), rule)
    return tuple(
        _example(table, bad, rule)
        for key, bad in (("bad", True), ("good", False))
        for table in card.get(key, [])
    )


def _example(table: Mapping[str, Any], bad: bool, rule: str) -> Example:
    known = {"text", "files", "encoding", "project", "note", *(("lines", "at") if bad else ())}
    if unknown := sorted(set(table) - known):
        raise CardError(f"{rule}: unknown key {unknown[0]} in an example")
    if ("text" in table) == ("files" in table):
        raise CardError(f"{rule}: an example has either text or files")
    files = {"main.ini": table["text"]} if "text" in table else dict(table["files"])
    places = tuple(_places(table, next(iter(files))))
    if bad and not places:
        raise CardError(f"{rule}: a bad example must say in lines or at where the rule finds something")
    return Example(
        bad, files, places, table.get("encoding", "utf-8"), table.get("project"), table.get("note", "")
    )


def _places(table: Mapping[str, Any], main: str) -> Iterator[tuple[str, int]]:
    for line in table.get("lines", []):
        yield main, line
    for place in table.get("at", []):
        file, _, line = place.rpartition(":")
        yield file, int(line)
