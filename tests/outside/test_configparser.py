"""Python's own ``configparser`` on what it and we both read.

Shared subset: its comment prefixes and ours are ``#`` and ``;``, whole-line and inline; its delimiters
are our separator; values are continued by indentation only; no includes, no machine-written block. Left
out, line by line, for both (``shared`` says which): marks that we protect by quotes or take for colours,
text after a header that we call unreadable, lines that both call unreadable (for which it refuses the
whole file), and separators where we prefer one set off by white space.
"""

from __future__ import annotations

import configparser
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ini_files import ini_texts

from cfgaudit.syntax.dialect import Traits
from cfgaudit.syntax.document import Entry, Header
from cfgaudit.syntax.parse import parse

Settings = dict[str, dict[str, str]]

PLAIN_HEADER = re.compile(r"\s*\[[^\[\]]*[^\[\]\s][^\[\]]*\]\s*([#;].*)?")
QUOTED_MARK = re.compile(r"""(?=.*["'])(?=.*\s[#;])""")
GLUED_SIGN = re.compile(r"[=:]\s*#\S")
GLUED_MARK = re.compile(r".*\S[#;].*\s[#;]")
CLEARER_SECOND = re.compile(r"[^=:]*[^=:\s][=:][^\s=:][^=:]*[=:]")
DELIMITERS = {"=": ("=",), ":": (":",), "mixed": ("=", ":")}


def shared(line: str, separator: str) -> bool:
    """Whether both are meant to read a line alike."""
    if line.lstrip().startswith("["):
        return bool(PLAIN_HEADER.fullmatch(line.rstrip()))
    if line[:1].strip() and line[0] not in "#;" and not any(one in line for one in DELIMITERS[separator]):
        return False
    if separator == "mixed" and CLEARER_SECOND.match(line):
        return False
    if GLUED_MARK.match(line):  # it looks no further for a mark that it met glued to a word once
        return False
    return not QUOTED_MARK.match(line) and not GLUED_SIGN.search(line)


def common_text(text: str, separator: str) -> str:
    """A text's shared lines, under a header, as ``configparser`` wants one."""
    lines = text.removeprefix("\ufeff").split("\n")
    kept = [line for line in lines if shared(line, separator)]
    if any(line.startswith("\t") for line in kept) and any(line.startswith(" ") for line in kept):
        kept = [line.expandtabs() for line in kept]  # it counts characters where we count columns
    return "\n".join(["[top]", *kept])


def read_by_oracle(text: str, separator: str) -> Settings:
    parser = configparser.RawConfigParser(
        strict=False,
        delimiters=DELIMITERS[separator],
        comment_prefixes=("#", ";"),
        inline_comment_prefixes=("#", ";"),
        default_section="\0",
    )
    parser.optionxform = str  # type: ignore[assignment,method-assign]
    parser.read_string(text)
    found: Settings = {}
    for name in parser.sections():
        found.setdefault(name.strip(), {}).update((key, value.strip()) for key, value in parser.items(name))
    return found


def read_by_us(text: str, separator: str) -> Settings:
    traits = Traits(
        comments=("#", ";"), separator=separator, includes=(), continuation="indent", machine_prefix=""
    )
    document = parse(text.encode("utf-8", "surrogatepass"), "one.ini", traits)
    found: Settings = {}
    section: dict[str, str] = {}
    for node in document.nodes:
        if isinstance(node, Header):
            section = found.setdefault(node.name, {})
        elif isinstance(node, Entry):
            section[node.key] = node.value
    return found


@pytest.mark.parametrize("separator", DELIMITERS)
def test_every_ini_file_of_this_machine(separator: str) -> None:
    read, refused = 0, 0
    for path, text in ini_texts():
        common = common_text(text, separator)
        try:
            expected = read_by_oracle(common, separator)
        except configparser.Error:
            refused += 1
            continue
        assert read_by_us(common, separator) == expected, path
        read += 1
    print(f"{read} files read alike with {separator} by configparser and cfgaudit; it refused {refused}")
    assert read or not ini_texts()


WORDS = st.text(st.sampled_from("aZ9 _-.%$()é\u00a0/,"), min_size=1, max_size=8).filter(str.strip)
TAILS = st.sampled_from(["", " ", " ; note", " # note # more", "\t;note", "\r"])
VALUES = st.text(st.sampled_from("aZ9 _-.%$()é/,[]{}=:\\;#\t"), max_size=12).filter(
    # A line that begins with a separator has no name; whether the second separator is one, the two disagree.
    lambda text: not text.lstrip().startswith(("=", ":"))
)


@st.composite
def files(draw: st.DrawFn) -> str:
    """Lines of every kind that both read, with one separator or either."""
    separators = draw(st.sampled_from([["="], [":"], ["=", ":"]]))
    lines = []
    for _ in range(draw(st.integers(0, 12))):
        lead = draw(st.sampled_from(["", "", "", " ", "  ", "    "]))
        kind = draw(st.sampled_from(["header", "entry", "entry", "more", "blank", "comment"]))
        if kind == "header":
            lines.append(f"[{draw(WORDS)}]{draw(TAILS)}")
        elif kind == "entry":
            separator = draw(st.sampled_from(separators))
            lines.append(f"{lead}{draw(WORDS)} {separator} {draw(VALUES)}{draw(TAILS)}")
        elif kind == "more":
            lines.append(f"    {draw(VALUES)}{draw(TAILS)}")
        else:
            lines.append(lead + ("" if kind == "blank" else draw(st.sampled_from("#;")) + draw(VALUES)))
    return "\n".join(lines)


@settings(max_examples=300, deadline=None)
@given(files(), st.sampled_from(list(DELIMITERS)))
def test_generated_files(text: str, separator: str) -> None:
    common = common_text(text, separator)
    try:
        expected = read_by_oracle(common, separator)
    except configparser.Error:
        return
    assert read_by_us(common, separator) == expected
