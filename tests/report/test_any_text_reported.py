"""Reports of any text: they never fail, fit their width, and hold nothing that a terminal acts on."""

from __future__ import annotations

import json
import tomllib
import unicodedata

from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.audit import audit
from cfgaudit.source import Memory, SourceError
from report.all_reports import json_reports, project_file, shown, text_reports

KEYS = [
    "drive",
    "step",
    "lowest",
    "highest",
    "top speed",
    "thermometer",
    "body",
    "a" * 130,
    "漢字" * 30,
    "hgihest",
]
VALUES = [
    "PA1",
    "main.PA1",
    "РA4",
    "-5 mm",
    "10, 20",
    "",
    "CHANGE_ME",
    "x" * 200,
    "👍" * 60,
    "1e999",
    "\x1b[31mred",
]
VALUES += [
    "\n  G1 X10 F300\n  wipe-nozle",
    "e\u0301" * 90,
    "\udcff",
    "a\x07b\x9bc\u202ed",
    "\t 5 °C",
    "9" * 400,
]
HEADERS = [
    "axis x",
    "heater nozzle",
    "fan " + "n" * 140,
    "probe",
    "mesh",
    "macro park",
    "aliases",
    "board \x1b]0;x\x07",
]
ENTRY = st.builds("{} {} {}".format, st.sampled_from(KEYS), st.sampled_from("=:"), st.sampled_from(VALUES))
LINE = st.one_of(
    ENTRY,
    st.sampled_from(HEADERS).map("[{}]".format),
    st.sampled_from(["%include a.ini", "%include main.ini", "%include \x1b[2Jb.ini", ";~ [heater nozzle]"]),
    st.text(max_size=12),
)
TEXT = st.lists(LINE, max_size=25).map("\n".join)


def breadth(text: str) -> int:
    """Columns on a terminal, after Unicode's standard annexes 11 (East Asian width) and 44 (categories)."""
    wide = sum(unicodedata.east_asian_width(letter) in ("W", "F") for letter in text)
    return len(text) + wide - sum(unicodedata.category(letter) in ("Mn", "Me") for letter in text)


@settings(max_examples=120, deadline=None)
@given(TEXT, TEXT, st.sampled_from([40, 80, 120]))
def test_reports_of_lines_that_look_like_a_configuration(main: str, included: str, width: int) -> None:
    data = {
        name: text.encode("utf-8", "surrogatepass")
        for name, text in (("main.ini", main), ("a.ini", included))
    }
    try:
        done = audit(Memory(data), "main.ini")
    except SourceError:
        return  # a binary file
    for command, lines in text_reports(done, width):
        for text in shown(lines).split("\n"):
            assert breadth(text) <= width, (command, text)
            assert not any(unicodedata.category(letter) in ("Cc", "Cf", "Cs") for letter in text), command
    for _, text in json_reports(done):
        assert json.loads(text, parse_constant=_refuse)["schema"] == 1
    assert tomllib.loads(project_file(done))["main"] == "main.ini"


def _refuse(constant: str) -> None:
    raise AssertionError(f"{constant} is no JSON (RFC 8259, section 6)")
