"""The text of a first ``cfgaudit.toml``: what was detected, and what is left to fill in."""

from __future__ import annotations

import json
from collections.abc import Iterator

from cfgaudit.syntax.document import Dialect
from cfgaudit.vocabulary.reading import TreeReading

HEAD = """\
# What cfgaudit is told about this configuration. Everything here is optional; what stands behind a # is
# a suggestion: take the # away to make it count.
"""
WORDS = """
# More words for something that the trade knows (cfgaudit roles shows what was understood):
# [words]
# motor = ["mover"]

# What a section describes, where its name does not say so:
# [parts]
# "left thing" = "fan left"
"""
ROLES = """
# Settings that were not understood. They cost no finding. Where one matters, give it a role
# (such as "temp.max", "pin.fan", "travel.max x") and take the # away; leave the rest as it is.
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
            *_dialect_lines(reading.tree.documents[main].dialect),
            WORDS,
            *_role_lines(reading),
            RULES,
        )
    )


def _dialect_lines(dialect: Dialect) -> Iterator[str]:
    yield "\n# How the files are written. It is detected for every file; this would fix it for all of them:\n"
    yield "# [dialect]\n"
    reasons = {trait: reason for trait, _, reason in dialect.reasons}
    for trait in ("comments", "separator", "continuation", "indented_entries"):
        value = getattr(dialect, trait)
        shown = json.dumps(list(value) if isinstance(value, tuple) else value, ensure_ascii=False)
        yield f"# {trait} = {shown}   # {_one_line(reasons.get(trait, ''))}\n"


def _role_lines(reading: TreeReading) -> Iterator[str]:
    yield ROLES
    holders: dict[str, list[tuple[str, str, str]]] = {}
    for section, one in reading.unknown():
        named = (section.section.name, one.setting.name, one.setting.value)
        holders.setdefault(one.setting.key, []).append(named)
    for (section_name, name, value), *others in holders.values():
        address = name if others else f"{section_name}:{name}"
        where = f", and in {len(others)} more sections" if others else ""
        yield f'# {_quoted(address)} = ""   # {_one_line(value)}{where}\n'


def _quoted(text: str) -> str:
    """A TOML basic string: JSON's escapes are among those that TOML has."""
    return json.dumps(text.encode("utf-8", "backslashreplace").decode("utf-8"), ensure_ascii=False)


def _one_line(text: str) -> str:
    shown = " ".join(text.encode("utf-8", "backslashreplace").decode("utf-8").split())
    clean = "".join(character if character.isprintable() else "?" for character in shown)
    return clean if len(clean) <= 50 else clean[:49] + "…"
