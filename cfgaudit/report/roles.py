"""What was understood, as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.report.json_form import Json
from cfgaudit.report.lines import BLANK, Line, Piece, counted, cut, line, visible, wrapped
from cfgaudit.vocabulary.reading import Reading, SectionReading, TreeReading

NAMED_AT_MOST = 28


def roles_form(reading: TreeReading) -> Json:
    """The report of ``roles``: every setting, and again those that are unknown."""
    main = reading.tree.documents[reading.tree.main]
    return {
        "main": reading.tree.main,
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
        "because": reading.why,
    }


def roles_lines(reading: TreeReading, width: int, *, all_settings: bool) -> Iterator[Line]:
    """Section by section, what its settings do; without ``all_settings`` only what is not understood."""
    for section in reading.sections:
        shown = [one for one in section.readings if all_settings or one.role is None]
        if shown and (all_settings or not _is_alias(section)):
            yield from _section_lines(section, shown, width)
    total = sum(len(section.readings) for section in reading.sections)
    unknown = sum(1 for _ in reading.unknown())
    told = f"{counted(total, 'setting')}, {unknown} not understood."
    if unknown:
        told += " These cost no finding; [words], [parts] and [roles] in cfgaudit.toml teach what they mean."
    yield from wrapped(told, width, "")


def _is_alias(section: SectionReading) -> bool:
    return bool(section.parts) and section.parts[0].kind == "alias"


def _section_lines(section: SectionReading, shown: list[Reading], width: int) -> Iterator[Line]:
    parts = ", ".join(f"{part.kind} {part.name}".strip() for part in section.parts)
    title = Piece(visible(f"[{section.section.name}]"), "strong")
    yield line(title, f"  {visible(parts) or 'no part that is known'}")
    longest = min(NAMED_AT_MOST, max(len(one.setting.name) for one in shown))
    for one in shown:
        role = one.role or "?"
        if one.role and one.axis:
            role += f" {one.axis}"
        value = " ".join(one.setting.value.split())
        left = f"  {visible(one.setting.name):<{longest}}  {role:<18} "
        style = "" if one.role and one.fits else "faint" if one.role is None else "warning"
        yield line(Piece(cut(left + visible(value), width), style))
        for sense in one.senses:
            yield line(cut(f"  {'':<{longest}}  {sense.role:<18} {visible(sense.text)}", width))
    yield BLANK
