"""``cfgaudit.toml``: what it may say, and one clear line for whatever it may not."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.checks.finding import Severity
from cfgaudit.project import Project, ProjectError, allowed_outside, read_project
from cfgaudit.source import Memory
from cfgaudit.syntax.dialect import Traits
from cfgaudit.vocabulary.words import WordOverrides


def read(text: str, **files: str) -> Project:
    return read_project(source_of(text, **files))


def source_of(text: str, **files: str) -> Memory:
    held = {f"{name}.toml": content.encode() for name, content in files.items()}
    return Memory({"cfgaudit.toml": text.encode("utf-8", "surrogateescape"), **held})


def test_no_file_says_nothing() -> None:
    assert read_project(Memory({})) == Project()


def test_an_empty_file_says_nothing() -> None:
    assert read("") == Project()


WHOLE = """\
main = "heron.ini"
vocabulary = ["words.toml"]

[tree]
allow = ["../shared/*.ini"]

[dialect]
comments = [";"]
separator = "="
header = "space"
includes = ["%include PATH"]
continuation = "indent"
indented_entries = false
machine_prefix = ";~"

[words]
temp = ["glow"]

[parts]
"warm thing" = "heater bed"
"blow *" = ["fan", "output"]

[roles]
"warm thing:most" = "temp.max"
"far" = "travel.max x"

[rules]
repeated-setting = "off"
shadowed-setting = "error"

[firmware]
commands = ["Go_Home", "BLINK"]

[[rule]]
name = "short-x"
title = "X is short"
severity = "note"
advice = "Measure it, at least {least}."
require = { role = "travel.max", axis = "x", at_least = "least" }

[rule.limits]
least = { value = 300, unit = "mm", source = "our frame" }
"""


def test_all_that_it_may_say() -> None:
    project = read(WHOLE, words='[words]\ntemp = ["shine"]\n[roles]\n"far" = "travel.min y"\n')
    assert project.main == "heron.ini"
    assert project.vocabulary == ("words.toml",)
    assert project.allow == ("../shared/*.ini",)
    assert project.traits == Traits((";",), "=", "space", ("%include PATH",), "indent", False, ";~")
    assert project.overrides == WordOverrides(
        {"temp": ("glow", "shine")},
        {"warm thing": ("heater bed",), "blow *": ("fan", "output")},
        {"warm thing:most": "temp.max", "far": "travel.max x"},
    )
    assert project.severities == {"repeated-setting": None, "shadowed-setting": Severity.ERROR}
    assert project.commands == {"gohome", "blink"}
    assert [rule.name for rule in project.house] == ["short-x"]
    assert project.house[0].concern == "house"
    assert project.house[0].fill(project.house[0].advice) == "Measure it, at least 300 mm."


@pytest.mark.parametrize(
    ("stated", "parts"),
    [
        ('"motor x, axis x"', ("motor x", "axis x")),
        ('"motor x ,axis x"', ("motor x", "axis x")),
        ('["motor feed, heater hot end", "driver e"]', ("motor feed", "heater hot end", "driver e")),
        ('"heater, guard"', ("heater", "guard")),
        ('"guard bed, nozzle"', ("guard bed, nozzle",)),
        ('"motor x,"', ("motor x,",)),
        ('"motor x, moter y"', ("motor x, moter y",)),
    ],
)
def test_several_parts_may_stand_in_one_text(stated: str, parts: tuple[str, ...]) -> None:
    """As ``roles`` tells them. What is no list of parts stays one name."""
    assert read(f'[parts]\n"west hauler" = {stated}\n').overrides.parts == {"west hauler": parts}


def test_what_lies_outside_the_root_is_known_before_it_is_read() -> None:
    text = 'vocabulary = "../ours.toml"\n[tree]\nallow = ["../a.ini"]\n'
    assert allowed_outside(source_of(text)) == ("../a.ini", "../ours.toml")
    assert allowed_outside(Memory({})) == ()


@pytest.mark.parametrize("line", ['"short-x.least" = 400', "short-x.least = 400"])
def test_a_limit_is_written_with_quotes_or_without(line: str) -> None:
    house = WHOLE[WHOLE.index("[[rule]]") :]
    assert read(f"{house}\n[limits]\n{line}\n").limits == {"short-x.least": 400}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("main = ", "1:8: not valid TOML"),
        ("\n\nmain = 'a'\nmain = 'b'", "4:11: not valid TOML"),
        ('main = "a', "1:10: not valid TOML"),
        ("a = 1\n[limits\n", "2:8: not valid TOML"),
        ("\nmian = 'a.ini'", "2: unknown key mian (did you mean main?)"),
        ("main = 3", "1: main must be a text, not 3"),
        ("main = ''", '1: main must be a text, not ""'),
        ("vocabulary = [3]", "1: vocabulary must be a text or a list of texts, not [3]"),
        ("vocabulary = 'none.toml'", "1: vocabulary: none.toml does not exist"),
        ("vocabulary = '../none.toml'", "1: vocabulary: ../none.toml lies outside"),
        ("rules = 3", "1: rules must be a table, [rules]"),
        ("[tree]\nalow = []", "2: unknown key alow (did you mean allow?) in [tree]"),
        ("[tree]\nallow = 3", "2: allow must be a text or a list of texts"),
        ("[dialect]\nseperator = '='", "2: unknown trait seperator (did you mean separator?)"),
        ("[dialect]\n\nseparator = '/'", '3: separator must be one of "=", ":", "mixed", not "/"'),
        ("[dialect]\nindented_entries = 'yes'", "2: indented_entries must be true or false, not yes"),
        ("[dialect]\nmachine_prefix = 3", "2: machine_prefix must be a text, not 3"),
        ("[words]\ntmep = ['glow']", "2: unknown trade word tmep (did you mean temp?)"),
        ("[words]\ntemp = [1]", "2: temp must be a text or a list of texts, not [1]"),
        ("[parts]\n'warm thing' = 'haeter'", "2: there is no part kind haeter (did you mean heater?)"),
        ("[parts]\n'a' = 'fan'\n'b' = ['fan', 'light', 'moter x']", "3: there is no part kind moter"),
        ("[roles]\nmost = 'temp.mx'", "2: there is no role temp.mx (did you mean temp.max?)"),
        ("[roles]\nfar = 'travel.max q'", "2: after travel.max may stand one axis"),
        ("[roles]\n'heater:' = 'temp.max'", '2: "heater:" must be "SETTING" or "SECTION:SETTING"'),
        ("[roles]\nfar = 3", "2: far must be a text, not 3"),
        (
            "[rules]\n\nrepeated-seting = 'off'",
            "3: unknown rule repeated-seting (did you mean repeated-setting?)",
        ),
        ("[rules]\nrepeated-setting = 'bad'", '2: repeated-setting must be one of "off", "danger"'),
        ("[rules]\nrepeated-setting = false", "2: repeated-setting must be one of"),
        ("[limits]\n'a.b' = 3", "2: there is no limit a.b"),
        ("[limits]\na.b = 3", "2: there is no limit a.b"),
        ("[firmware]\ncommand = ['A']", "2: unknown key command (did you mean commands?)"),
        ("[firmware]\ncommands = [1]", "2: commands must be a text or a list of texts"),
        ("[rule]\nname = 'a'", "1: a rule of your own begins with [[rule]]"),
        ("rule = ['a']", "1: a rule of your own begins with [[rule]]"),
    ],
)
def test_whatever_else_it_says_is_one_clear_line(text: str, message: str) -> None:
    with pytest.raises(ProjectError) as told:
        read(text)
    assert str(told.value).startswith(f"cfgaudit.toml:{message}")
    assert "\n" not in str(told.value)


HOUSE = {
    "name": "'ours'",
    "title": "'Ours'",
    "severity": "'note'",
    "advice": "'Look.'",
    "require": "{ role = 'temp.max', at_most = 300 }",
}


def house(**changes: str | None) -> str:
    lines = {**HOUSE, **changes}
    return "[[rule]]\n" + "\n".join(f"{key} = {value}" for key, value in lines.items() if value is not None)


def test_the_house_rule_of_the_next_test_is_right() -> None:
    assert [rule.name for rule in read(house()).house] == ["ours"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (house(name=None), "1: [[rule]] needs name"),
        (house(require=None), "1: [[rule]] needs require"),
        (house(name="3"), "2: name must be a text, not 3"),
        (
            house(severity="'bad'"),
            '4: severity must be one of "danger", "error", "warning", "note", not "bad"',
        ),
        (house(name="'repeated-setting'"), "2: there is already a rule repeated-setting"),
        (f"{house()}\n\n{house()}", "9: there is already a rule ours"),
        (house(requires="1"), "7: unknown key requires (did you mean require?)"),
        (
            house(require="{ role = 'temp.mx', at_most = 3 }"),
            "6: ours: there is no role temp.mx (did you mean temp.max?)",
        ),
        (house(require="{ role = 'temp.max' }"), "6: ours: require needs a comparison"),
        (house(require="'temp.max'"), "6: ours: require must be a table"),
        (house(limits="{ most = 3 }"), "6: ours: the limit most must have value, unit and source"),
    ],
)
def test_a_wrong_house_rule_is_one_clear_line(text: str, message: str) -> None:
    with pytest.raises(ProjectError) as told:
        read(text)
    assert str(told.value).startswith(f"cfgaudit.toml:{message}")


def test_a_limit_of_the_wrong_type_is_one_clear_line() -> None:
    text = WHOLE.replace('vocabulary = ["words.toml"]\n', "") + '\n[limits]\n"short-x.least" = "long"\n'
    with pytest.raises(ProjectError) as told:
        read(text)
    line = text.splitlines().index('"short-x.least" = "long"') + 1
    assert str(told.value) == f"cfgaudit.toml:{line}: short-x.least must be a number"


def test_a_shared_vocabulary_holds_words_only() -> None:
    with pytest.raises(ProjectError) as told:
        read("vocabulary = 'words.toml'", words="[words]\ntemp = ['glow']\n[rules]\n")
    assert str(told.value).startswith("words.toml:3: unknown key rules")


def test_bytes_that_are_no_text_are_one_clear_line() -> None:
    with pytest.raises(ProjectError) as told:
        read_project(Memory({"cfgaudit.toml": b"main = 'a'\n# \xb0\n"}))
    assert str(told.value) == "cfgaudit.toml:2: not UTF-8: save the file as UTF-8"


def test_lines_are_found_below_texts_of_many_lines() -> None:
    text = "main = '''\nrules = 1\n[limits]\n'''\n\n[rules]\nnothing = 'off'\n"
    with pytest.raises(ProjectError) as told:
        read(text)
    assert str(told.value).startswith("cfgaudit.toml:7: unknown rule nothing")


PIECES = st.sampled_from(
    [
        "main",
        "rules",
        "limits",
        "rule",
        "words",
        "temp",
        "roles",
        "parts",
        "[",
        "]",
        "[[",
        "]]",
        "=",
        "'",
        '"',
        '"""',
        "{",
        "}",
        ",",
        ".",
        "\n",
        " ",
        "3",
        "off",
        "true",
        "repeated-setting",
        "1979-05-27",
        "-",
        "\ud8a0",
        "é",
    ]
)


@settings(max_examples=200, deadline=None)
@given(st.lists(PIECES, max_size=25).map("".join) | st.text(max_size=40))
def test_any_text_is_a_project_or_one_clear_line(text: str) -> None:
    source = Memory({"cfgaudit.toml": text.encode("utf-8", "surrogatepass")})
    told = "cfgaudit.toml:"
    try:
        read_project(source)
    except ProjectError as error:
        told = str(error)
    assert told.startswith("cfgaudit.toml:")
    assert len(told.splitlines()) == 1
