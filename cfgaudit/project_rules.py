"""The tables ``[rules]``, ``[limits]`` and ``[[rule]]`` of ``cfgaudit.toml``."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from cfgaudit.nearest import or_nearest
from cfgaudit.toml_file import KeyPath, TomlFile

if TYPE_CHECKING:
    from cfgaudit.checks.finding import Severity
    from cfgaudit.checks.rule import LimitValue, Rule

OFF = "off"
SEVERITIES = ("danger", "error", "warning", "note")
NEEDED = ("name", "title", "severity", "advice", "require")
HOUSE_KEYS = (*NEEDED, "why", "source", "concern", "limits")


def read_severities(file: TomlFile, house: Iterable[Rule]) -> Iterator[tuple[str, Severity | None]]:
    """Each rule with its severity here; None where it is off."""
    table = file.table("rules")
    if not table:
        return
    from cfgaudit.checks.finding import Severity

    file.known(("rules",), table, _rules(house), kind="rule")
    for rule, value in table.items():
        text = file.choice(("rules", rule), value, (OFF, *SEVERITIES))
        yield rule, None if text == OFF else Severity(text)


def read_limits(file: TomlFile, house: Iterable[Rule]) -> Iterator[tuple[str, LimitValue]]:
    """Each ``rule.limit`` with its value here, written with quotes or without."""
    table = file.table("limits")
    if not table:
        return
    known = {
        f"{rule.name}.{name}": rule.limits[name].value
        for rule in _rules(house).values()
        for name in rule.limits
    }
    for keys, name, value in _flat(table):
        if name not in known:
            raise file.error(keys, f"there is no limit {or_nearest(name, known)}")
        yield name, _limit_value(file, keys, value, known[name])


def _flat(table: Mapping[str, Any]) -> Iterator[tuple[KeyPath, str, object]]:
    for name, value in table.items():
        if isinstance(value, dict):
            yield from ((("limits", name, limit), f"{name}.{limit}", one) for limit, one in value.items())
        else:
            yield ("limits", name), name, value


def _limit_value(file: TomlFile, keys: KeyPath, value: object, ruled: LimitValue) -> LimitValue:
    from cfgaudit.checks.cards import is_number

    several = isinstance(ruled, tuple)
    wanted = str if several and isinstance(ruled[0], str) else float  # type: ignore[index]
    items: list[Any] = value if isinstance(value, list) else [value]
    fitting = all(isinstance(one, str) if wanted is str else is_number(one) for one in items)
    if not items or not fitting or (isinstance(value, list) and not several):
        kind = "text" if wanted is str else "number"
        raise file.error(keys, f"{keys[-1]} must be a {kind}{f' or a list of {kind}s' if several else ''}")
    return tuple(items) if several else items[0]


def read_house_rules(file: TomlFile) -> Iterator[Rule]:
    """Each ``[[rule]]``, ready to run."""
    tables = file.tables.get("rule", [])
    if not isinstance(tables, list) or not all(isinstance(one, dict) for one in tables):
        raise file.error(("rule",), "a rule of your own begins with [[rule]]")
    met: set[str] = set()
    for index, table in enumerate(tables):
        rule = _house_rule(file, ("rule", index), table)
        if rule.name in met or rule.name in _rules(()):
            raise file.error(
                ("rule", index, "name"), f"there is already a rule {rule.name}: choose another name"
            )
        met.add(rule.name)
        yield rule


def _house_rule(file: TomlFile, keys: KeyPath, table: Mapping[str, Any]) -> Rule:
    from cfgaudit.checks.cards import CardError, read_head
    from cfgaudit.checks.rule import HOUSE

    file.known(keys, table, HOUSE_KEYS)
    for key in NEEDED:
        if key not in table:
            raise file.error(keys, f"[[rule]] needs {key}")
    for key in table:
        if key not in ("require", "limits"):
            file.text((*keys, key), table[key])
    file.choice((*keys, "severity"), table["severity"], SEVERITIES)
    head = {key: value for key, value in table.items() if key not in ("name", "concern")}
    head = {"why": table["title"], "source": "cfgaudit.toml", **head}
    try:
        return read_head(head, table["name"], table.get("concern", HOUSE))
    except CardError as error:
        raise file.error((*keys, "require"), str(error)) from None


def _rules(house: Iterable[Rule]) -> Mapping[str, Rule]:
    from cfgaudit.checks.cards import load_cards

    return {**load_cards(), **{rule.name: rule for rule in house}}
