"""Parsers for the languages in ``grammar/``, each built when it is first needed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from cfgaudit.data import data_folder


def load_parser(language: str, *, callbacks: object, start: str = "start") -> Callable[[str], Any]:
    """A function that parses text with the LALR grammar ``grammar/LANGUAGE.lark``.

    ``callbacks`` has one method a rule, called with the rule's children as the parser reduces it; the
    function returns what the method of ``start`` does, or raises `lark.exceptions.UnexpectedInput`.
    Building takes milliseconds: callers keep what they get.
    """
    from lark import Lark

    text = (data_folder("grammar") / f"{language}.lark").read_text(encoding="utf-8")
    return Lark(text, parser="lalr", start=start, transformer=callbacks).parse
