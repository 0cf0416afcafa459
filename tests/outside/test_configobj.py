"""``configobj`` on what it and we both read: entries at any indentation, no value continued.

Shared subset: ``#`` comments, ``=`` only, sections one deep. Left out, line by line, for both (``shared``
says which): names that begin with a quote or a colon, three quotes in a row, ``#`` without white space
before it, colours, nested sections, and a ``;`` after a header. It refuses a file with a repeated section
or setting.
"""

from __future__ import annotations

import re

from configobj import ConfigObj, ConfigObjError
from hypothesis import given, settings
from hypothesis import strategies as st
from ini_files import ini_texts

from cfgaudit.syntax.dialect import Traits
from cfgaudit.syntax.document import Entry, Header
from cfgaudit.syntax.parse import parse

Settings = dict[str, dict[str, str]]

TRAITS = Traits(comments=("#",), separator="=", includes=(), continuation="none", machine_prefix="")
PLAIN_HEADER = re.compile(r"""\s*\[[^\[\]"'#;]*[^\[\]"'#;\s][^\[\]"'#;]*\]\s*(#.*)?""")
OUTSIDE = re.compile(r"""\s*["':]|.*(\"""|''')|.*[^\s]#|.*=\s*#\S|(?=.*["']).*\s#""")


def shared(line: str) -> bool:
    """Whether both are meant to read a line alike."""
    if line.lstrip().startswith("["):
        return bool(PLAIN_HEADER.fullmatch(line.rstrip()))
    return line.lstrip().startswith("#") or not OUTSIDE.match(line)


def common_lines(text: str) -> list[str]:
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").split("\n")
    return [line for line in lines if shared(line)]


def read_by_oracle(lines: list[str]) -> Settings:
    oracle = ConfigObj(list(lines), list_values=False, interpolation=False, raise_errors=True)
    found: Settings = {"": {key: oracle[key] for key in oracle.scalars}}
    found.update((name.strip(), dict(oracle[name])) for name in oracle.sections)
    return found


def read_by_us(lines: list[str]) -> Settings:
    document = parse("\n".join(lines).encode("utf-8", "surrogatepass"), "one.ini", TRAITS)
    section: dict[str, str] = {}
    found: Settings = {"": section}
    for node in document.nodes:
        if isinstance(node, Header):
            section = found.setdefault(node.name, {})
        elif isinstance(node, Entry):
            section[node.key] = node.value
    return found


def test_every_ini_file_of_this_machine() -> None:
    read, refused = 0, 0
    for path, text in ini_texts():
        lines = common_lines(text)
        try:
            expected = read_by_oracle(lines)
        except ConfigObjError:
            refused += 1
            continue
        assert read_by_us(lines) == expected, path
        read += 1
    print(f"{read} files read alike by configobj and cfgaudit; it refused {refused}")
    assert read or not ini_texts()


WORDS = st.text(st.sampled_from("aZ9 _-.%$()é/,:"), min_size=1, max_size=8).filter(str.strip)
VALUES = st.text(st.sampled_from("aZ9 _-.%$()é/,:;[]{}=\\\"'"), max_size=12)
TAILS = st.sampled_from(["", "  ", " # note", "\t# note; more"])
LEADS = st.sampled_from(["", " ", "    ", "\t"])
ENTRIES = st.tuples(LEADS, WORDS, st.sampled_from(["=", " = ", " ="]), VALUES, TAILS).map("".join)
HEADERS = st.tuples(LEADS, st.just("["), WORDS, st.just("]"), TAILS).map("".join)
OTHERS = st.sampled_from(["", "  ", "# note", "\t# note = 1"])


@settings(max_examples=300, deadline=None)
@given(st.lists(st.one_of(ENTRIES, ENTRIES, HEADERS, OTHERS), max_size=12))
def test_generated_files(lines: list[str]) -> None:
    kept = [line for line in lines if shared(line)]
    try:
        expected = read_by_oracle(kept)
    except ConfigObjError:
        return
    assert read_by_us(kept) == expected
