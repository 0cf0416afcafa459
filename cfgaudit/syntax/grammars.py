"""Parsers for the languages in ``grammar/``, each built when it is first needed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from cfgaudit.data import data_folder

if TYPE_CHECKING:
    from lark import Lark


def load_parser(language: str, *, callbacks: object, start: str = "start") -> Lark:
    """The LALR parser of ``grammar/LANGUAGE.lark``.

    ``callbacks`` has one method a rule, called with the rule's children as the parser reduces it.
    Building takes milliseconds: callers keep what they get.
    """
    from lark import Lark

    text = (data_folder("grammar") / f"{language}.lark").read_text(encoding="utf-8")
    return Lark(text, parser="lalr", start=start, transformer=callbacks)  # type: ignore[arg-type]
