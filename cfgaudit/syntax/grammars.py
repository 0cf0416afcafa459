"""Parsers for the languages in ``grammar/``, each loaded when it is first needed.

The tables are kept between runs, and become a parser as in the parsers that ``lark.tools.standalone`` writes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from cfgaudit.data import data_folder
from cfgaudit.kept import kept

if TYPE_CHECKING:
    from lark import Lark, Token


def load_parser(language: str, *, callbacks: object, start: str = "start") -> Callable[[str], Any]:
    """A function that parses text with the LALR grammar ``grammar/LANGUAGE.lark``.

    ``callbacks`` has one method a rule, called with the rule's children as the parser reduces it; the
    function returns what the method of ``start`` does, or raises `lark.exceptions.UnexpectedInput`.
    Loading takes milliseconds: callers keep what they get.
    """
    return _load(language, start, callbacks).parse


def load_lexer(language: str) -> Callable[[str], Iterator[Token]]:
    """A function that gives a text's tokens, for a grammar that takes its terminals in any order."""
    parser: Any = _load(language, "start", None)
    parser.lexer = parser._build_lexer()  # else one is built for every text
    lex: Callable[[str], Iterator[Token]] = parser.lex
    return lex


def _load(language: str, start: str, callbacks: object) -> Lark:
    import lark

    text = (data_folder("grammar") / f"{language}.lark").read_text(encoding="utf-8")
    tables = kept(language, (text, start, lark.__version__), lambda: _tables(text, start))
    load: Any = lark.Lark._load_from_dict
    parser: Lark = load(**tables, transformer=callbacks)
    return parser


def _tables(text: str, start: str) -> dict[str, Any]:
    """The LALR tables of a grammar in plain types: ``data`` and ``memo``, as lark loads them."""
    from lark import Lark
    from lark.grammar import Rule
    from lark.lexer import TerminalDef

    serialise: Any = Lark(text, parser="lalr", start=start).memo_serialize
    data, memo = serialise([TerminalDef, Rule])
    return {"data": data, "memo": memo}
