"""What was understood, as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import (
    BLANK,
    Line,
    Piece,
    breadth,
    counted,
    cut,
    line,
    one_line,
    padded,
    visible,
    wrapped,
)
from cfgaudit.vocabulary.catalogue import ROLES
from cfgaudit.vocabulary.reading import Reading, SectionReading, TreeReading

INDENT = "  "
NAMED_AT_MOST = 28
"""Columns for names; a longer one pushes its role to the right."""
ROLE = 18
VALUE = 16
"""Columns that a value needs beside its role; in a narrower window it stands below."""
UNKNOWN = "?"
EXPECTED = {
    "pin": "a pin",
    "number": "a number",
    "numbers": "one or more numbers",
    "ratio": "a ratio",
    "text": "a word",
    "name": "a part's name",
    "body": "lines of a macro",
    "side": "one of two sides",
}
"""By the shape of a role's value."""


def roles_form(reading: TreeReading) -> Json:
    """The report of ``roles``: every setting, and again those that are unknown."""
    main = reading.tree.documents[reading.tree.main]
    return {
        "dialect": {
            "comments": list(main.dialect.comments),
            "separator": main.dialect.separator,
            "header": main.dialect.header,
            "includes": list(main.dialect.includes),
            "continuation": main.dialect.continuation,
            "indented_entries": main.dialect.indented_entries,
            "machine_prefix": main.dialect.machine_prefix,
            "reasons": [
                {"trait": trait, "value": value, "because": reason}
                for trait, value, reason in main.dialect.reasons
            ],
        },
        "settings": [_setting_form(section, one) for section in reading.sections for one in section.readings],
        "unknown": [_setting_form(section, one) for section, one in reading.unknown()],
    }


def _setting_form(section: SectionReading, reading: Reading) -> Json:
    return {
        "file": reading.setting.place.file,
        "line": reading.setting.place.line,
        "section": section.section.name,
        "setting": reading.setting.name,
        "value": reading.setting.value,
        "parts": [[part.kind, part.name] for part in section.parts],
        "role": reading.role,
        "axis": reading.axis or section.axis,
        "because": reading.why + (f", but {misfit(reading)}" if not reading.fits else ""),
    }


def misfit(reading: Reading) -> str:
    """What speaks against a value where its role is clear: ``a temperature in °C is expected``."""
    spec = ROLES.get(reading.role or "")
    expected = EXPECTED.get(spec.shape, "another value") if spec is not None else "another value"
    unit = f" in {spec.base_unit}" if spec is not None and spec.base_unit else ""
    return f"the value does not fit: {expected}{unit} is expected"


def roles_lines(reading: TreeReading, width: int, *, all_settings: bool) -> Iterator[Line]:
    """Section by section, what its settings do; without ``all_settings`` only what is not understood."""
    unknown = {id(one) for _, one in reading.unknown()}
    for section in reading.sections:
        shown = [one for one in section.readings if all_settings or id(one) in unknown or not one.fits]
        if shown:
            yield from _section_lines(section, shown, width)
    total = sum(len(section.readings) for section in reading.sections)
    yield from wrapped(_summary(total, len(unknown), _misfits(reading)), width, 0)


def _misfits(reading: TreeReading) -> int:
    return sum(not one.fits for section in reading.sections for one in section.readings)


def _summary(total: int, unknown: int, misfits: int) -> str:
    told = f"{counted(total, 'setting')}, {unknown} not understood."
    if unknown:
        told += " These cost no finding; [words], [parts] and [roles] in cfgaudit.toml teach what they mean."
    if misfits:
        told += f" {misfits} with a value that does not fit: cfgaudit check judges them."
    return told


def _is_alias(section: SectionReading) -> bool:
    return bool(section.parts) and section.parts[0].kind == "alias"


def _section_lines(section: SectionReading, shown: list[Reading], width: int) -> Iterator[Line]:
    parts = ", ".join(f"{part.kind} {part.name}".strip() for part in section.parts)
    name = f"[{section.section.name}]" if section.section.name else "before any section"
    title = Piece(visible(name), "strong")
    yield from wrapped(
        visible(parts) or "no part that is known", width, 2 * INDENT, "", (title, Piece(INDENT))
    )
    names = [breadth(visible(one.setting.name)) for one in shown]
    longest = max((size for size in names if size <= NAMED_AT_MOST), default=NAMED_AT_MOST)
    for one in shown:
        yield from _setting_lines(section, one, longest, width)
    yield BLANK


def _setting_lines(section: SectionReading, reading: Reading, longest: int, width: int) -> Iterator[Line]:
    role = "pin's name" if _is_alias(section) and reading.role is None else reading.role or UNKNOWN
    if reading.role and reading.axis:
        role += f" {reading.axis}"
    style = "warning" if not reading.fits else "faint" if role == UNKNOWN else ""
    yield from _row(reading.setting.name, role, _value(reading), longest, width, style)
    for sense in reading.senses:
        yield from _row("", sense.role, one_line(sense.text), longest, width, style)
    if not reading.fits:
        yield from wrapped(f"({misfit(reading)})", width, 3 * INDENT, style)


def _row(name: str, role: str, value: str, longest: int, width: int, style: str) -> Iterator[Line]:
    opening = f"{INDENT}{padded(visible(name), longest)}  {padded(role, ROLE)} "
    if width - breadth(opening) >= VALUE:
        yield from wrapped(value, width, breadth(opening), style, (Piece(opening, style),))
        return
    if name:
        yield line(Piece(cut(f"{INDENT}{visible(name)}", width), style))
    yield from wrapped(f"{role}  {value}", width, 3 * INDENT, style, first=2 * INDENT)


def _value(reading: Reading) -> str:
    """The value; of several lines the first one, and how many there are."""
    first, *more = [one_line(text) for text in reading.setting.value.splitlines() if text.strip()] or [""]
    return f"{first} … ({counted(len(more) + 1, 'line')})" if more else first
