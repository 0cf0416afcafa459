"""The text of a first ``cfgaudit.toml``: what was detected, and what is left to fill in."""

from __future__ import annotations

import json
from collections.abc import Iterator

from cfgaudit.syntax.document import Dialect
from cfgaudit.vocabulary.reading import TreeReading

TRAITS = ("comments", "separator", "continuation", "indented_entries")
LONGEST = 50
"""Characters of a value that is repeated in a comment."""
HEAD = """\
# What cfgaudit is told about this configuration. Everything here is optional.
# What stands behind a # is a suggestion: take the # away to make it count.
"""
DIALECT = """
# How the files are written. It is detected for every file; this would fix it
# for all of them:
# [dialect]
"""
WORDS = """
# More words for something that the trade knows; cfgaudit roles shows what was
# understood.
# [words]
# motor = ["mover"]
"""
PARTS = """
# What a section describes, where its name does not say so: "fan left", "heater
# bed", "motor x", or a list of these.
# [parts]
"""
ROLES = """
# Settings that were not understood. They cost no finding. Where one matters,
# give it a role ("temp.max", "pin.fan", "travel.max x" …) and take the # away.
# "none" says that it plays no role.
[roles]
"""
RULES = """
# [rules]
# part-unused = "off"            # or danger, error, warning, note

# [limits]
# "limit-beyond-practice.bed" = 120
"""


def project_text(reading: TreeReading) -> str:
    """The whole file. It is valid as it stands and changes nothing but to name the main file."""
    main = reading.tree.main
    return "".join(
        (
            HEAD,
            f"\nmain = {_quoted(main)}\n",
            DIALECT,
            *_dialect_lines(reading.tree.documents[main].dialect),
            WORDS,
            PARTS,
            *_part_lines(reading),
            ROLES,
            *_role_lines(reading),
            RULES,
        )
    )


def _dialect_lines(dialect: Dialect) -> Iterator[str]:
    reasons = {trait: reason for trait, _, reason in dialect.reasons}
    for trait in TRAITS:
        value = getattr(dialect, trait)
        shown = json.dumps(list(value) if isinstance(value, tuple) else value, ensure_ascii=False)
        yield f"# {trait} = {shown}   # {_one_line(reasons.get(trait, ''))}\n"


def _part_lines(reading: TreeReading) -> Iterator[str]:
    """The sections whose part nobody knows, else an example."""
    named = [one.section.name for one in reading.sections if one.readings and not one.parts]
    shown = [name for name in named if name]
    yield from (f'# {_quoted(name)} = ""\n' for name in shown or ())
    if not shown:
        yield '# "left thing" = "fan left"\n'


def _role_lines(reading: TreeReading) -> Iterator[str]:
    holders: dict[str, list[tuple[str, str, str]]] = {}
    for section, one in reading.unknown():
        named = (section.section.name, one.setting.name, one.setting.value)
        holders.setdefault(one.setting.key, []).append(named)
    for (section_name, name, value), *others in holders.values():
        address = name if others or not section_name else f"{section_name}:{name}"
        where = f", and in {len(others)} more section{'s' * (len(others) > 1)}" if others else ""
        yield f'# {_quoted(address)} = ""   # {_one_line(value)}{where}\n'


def _quoted(text: str) -> str:
    """A TOML basic string; bytes that are no UTF-8 stand in it as escapes that mean themselves."""
    shown = text.encode("utf-8", "backslashreplace").decode("utf-8")
    return f'"{"".join(map(_escaped, shown))}"'


def _escaped(character: str) -> str:
    if character in '"\\':
        return f"\\{character}"
    if character.isprintable():
        return character
    code = ord(character)
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def _one_line(text: str) -> str:
    shown = " ".join(text.encode("utf-8", "backslashreplace").decode("utf-8").split())
    clean = "".join(character if character.isprintable() else "?" for character in shown)
    return clean if len(clean) <= LONGEST else clean[: LONGEST - 1] + "…"
