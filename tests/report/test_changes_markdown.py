"""The report for a pull request, read back by a parser of CommonMark (markdown-it-py)."""

from __future__ import annotations

from collections.abc import Iterator

from history.change_making import accel, change, commit, finding, moves
from history.machines import STORK, edited
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from markdown_it.token import Token

from cfgaudit.checks.finding import Severity
from cfgaudit.history.change import Change, Review
from cfgaudit.report.cautions import CAUTIONS
from cfgaudit.report.changes_markdown import changes_markdown, code, escaped
from cfgaudit.report.lines import one_line
from report.reviews import made, reviewed
from report.test_any_text_reported import VALUES

PARSER = MarkdownIt("commonmark").enable(["table", "strikethrough"])
HARMLESS = {
    "paragraph_open",
    "paragraph_close",
    "heading_open",
    "heading_close",
    "bullet_list_open",
    "bullet_list_close",
    "list_item_open",
    "list_item_close",
    "blockquote_open",
    "blockquote_close",
    "inline",
    "fence",
    "text",
    "text_special",
    "code_inline",
    "strong_open",
    "strong_close",
    "hardbreak",
    "softbreak",
}
EVIL = [
    "`",
    "``a`b",
    "a|b",
    "<script>alert(1)</script>",
    "<img src=x onerror=y>",
    "[a](http://example.org)",
    "![a](http://example.org/b.png)",
    "&lt;",
    "# heading",
    "- item",
    "1. item",
    "---",
    "=====",
    "~~gone~~",
    "*a* _b_ **c**",
    "\\`a\\",
    "http://example.org www.example.org",
    "@somebody",
    "```\nfence\n```",
    "    code",
    "<!-- x",
    *VALUES,
]


def tokens(text: str) -> Iterator[Token]:
    for one in PARSER.parse(text):
        yield one
        yield from one.children or ()


def read(review: Review) -> list[Token]:
    return list(tokens(changes_markdown(review)))


def spans(found: list[Token]) -> list[str]:
    return [one.content for one in found if one.type == "code_inline"]


def words(found: list[Token]) -> str:
    """What a reader sees."""
    texts = (one.content for one in found if one.type in ("text", "text_special", "code_inline", "fence"))
    return " ".join(" ".join(texts).split())


def test_headings_are_the_concerns() -> None:
    other = change("heater bed:top", "1", "2")._replace(concern="heat")
    found = read(made([accel("x", "1", "2"), other]))
    after = [found[number + 1] for number, one in enumerate(found) if one.type == "heading_open"]
    assert [one.content for one in after] == ["Motion", "Heat"]


def test_a_change_with_all_that_is_told_of_it() -> None:
    one = accel("x", "6500 mm/s²", "9000 mm/s²", relative=9000 / 6500 - 1, commits=(commit(7),))
    one = one._replace(
        consequences=(moves("axis.x.shaper_rounding", "mm", 0.1016, 0.1407),), why="it is rough"
    )
    found = read(made([one]))
    assert spans(found) == ["stork.ini", "[axis x] accel", "6500 mm/s²", "9000 mm/s²", "main.ini:3"]
    said = words(found)
    for part in ("+38 %", "It is rough.", "rounded by 0.14 mm, was 0.10", "0000000 2026-11-01 step 7"):
        assert part in said


def test_a_machine_before_and_after() -> None:
    after = edited(
        STORK, ("homes to = -5 mm", "homes to = -9 mm"), ("    lamp-off\n", "    G28\n    lamp-off\n")
    )
    found = read(reviewed(STORK, after))
    fences = [one for one in found if one.type == "fence"]
    assert [(one.info, one.content) for one in fences] == [("diff", "+ G28\n")]
    assert {"-5 mm", "-9 mm", "home-outside-travel"} <= set(spans(found))


def test_nothing_changed_is_one_paragraph() -> None:
    found = read(made())
    assert [one.type for one in found if one.nesting == 1] == ["paragraph_open"]


def test_findings_and_cautions() -> None:
    danger = finding("heater-unguarded", "nobody watches")._replace(severity=Severity.DANGER)
    found = read(made(new=[danger], gone=[finding("limits-inverted")]))
    said = words(found)
    assert " ".join(CAUTIONS.split()) in said
    assert said.index("Findings that are new") < said.index("heater-unguarded")
    assert said.index("Findings that are gone") < said.index("limits-inverted")
    assert "blockquote_open" not in {one.type for one in read(made([accel("x", "1", "2")]))}


ANY = st.sampled_from(EVIL) | st.text(max_size=30)


@settings(max_examples=80, deadline=None)
@given(ANY)
def test_a_code_span_shows_any_text_as_it_is(text: str) -> None:
    found = list(tokens(f"a {code(text)} b"))
    assert spans(found) == [one_line(text) or " "]


@settings(max_examples=80, deadline=None)
@given(ANY)
def test_escaped_text_is_text(text: str) -> None:
    found = list(tokens(escaped(text)))
    assert {one.type for one in found} <= {
        "paragraph_open",
        "paragraph_close",
        "inline",
        "text",
        "text_special",
    }
    shown = "".join(one.content for one in found if one.type.startswith("text"))
    assert shown.replace("\u2060", "") == one_line(text).replace("\u2060", "")


@settings(max_examples=60, deadline=None)
@given(ANY, ANY, ANY, st.booleans())
def test_no_value_becomes_anything_but_text(name: str, key: str, value: str, whole: bool) -> None:
    one = change("a:b", value, key, why=value, findings=(finding("rule", key),), commits=(commit(1),))
    commits = tuple(each._replace(summary=value) for each in one.commits)
    one = one._replace(section=name, setting="" if whole else key, commits=commits)
    review = made(
        [one, one._replace(effective=False)], new=[finding("other", value)], gone=[finding("x", name)]
    )
    found = read(review)
    assert {each.type for each in found} <= HARMLESS
    opened = [each for each in found if each.type == "heading_open"]
    assert len(opened) == 4


def test_lists_of_a_whole_section() -> None:
    """Its settings stand in a block of their own within the item."""
    after = {**STORK, "stork.ini": STORK["stork.ini"] + "[fan lid]\ndrive = main.PC6\nnote = a ``` b\n"}
    found = read(reviewed(STORK, after))
    (fence,) = (one for one in found if one.type == "fence")
    assert fence.content == "drive = main.PC6\nnote = a ``` b\n"
    assert fence.level > 0


def test_one_change_stays_one_item() -> None:
    changes: list[Change] = [accel(axis, "1", "2", why="so it is") for axis in "xyz"]
    found = read(made(changes))
    assert sum(one.type == "list_item_open" and one.level == 1 for one in found) == 3
