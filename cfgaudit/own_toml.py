"""The program's own tables in TOML."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from cfgaudit.kept import kept


def read_own_toml(path: Path) -> dict[str, Any]:
    """The tables of a file that comes with the program: parsed once, and kept between runs."""
    text = path.read_text(encoding="utf-8")
    return kept(path.stem, (text,), lambda: parse_own_toml(text))


def parse_own_toml(text: str) -> dict[str, Any]:
    """The tables of a text. Raises tomllib.TOMLDecodeError."""
    import tomllib  # rarely needed: tables are kept

    return tomllib.loads(text)
