"""Checking never raises, whatever the text, and every finding stands at a place that exists."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.audit import Audit, audit
from cfgaudit.checks.run import raise_fault
from cfgaudit.source import Memory, SourceError

KEYS = [
    "drive",
    "step",
    "lowest",
    "highest",
    "top speed",
    "thermometer",
    "body",
    "axis",
    "corner",
    "hgihest",
    "",
]
VALUES = [
    "PA1",
    "main.PA1",
    "РA4",
    "0,4",
    "-5 mm",
    "5 °C",
    "1:3",
    "10, 20",
    "10 x 20",
    "yes",
    "",
    "xxx",
    "<pin>",
    "<GND>",
    "{x}",
    "NTC 100k",
    "\n  G1 X10 F300\n  G28",
    "\n  step = PA1",
    "nozzle",
    "x",
    "9" * 400,
    "1e999",
    "“a”",
    "\udcff",
]
HEADERS = [
    "axis x",
    "heater nozzle",
    "fan nozzle",
    "probe",
    "mesh",
    "servo",
    "macro park",
    "aliases",
    "motion",
    "",
    "[",
    "board a",
]
ENTRY = st.builds("{} {} {}".format, st.sampled_from(KEYS), st.sampled_from("=:"), st.sampled_from(VALUES))
LINE = st.one_of(
    ENTRY,
    st.sampled_from(HEADERS).map("[{}]".format),
    st.sampled_from(
        ["%include a.ini", "%include main.ini", "; cfgaudit: allow pin-shared, so", ";~ [heater nozzle]", ""]
    ),
    st.text(max_size=12),
)
TEXT = st.lists(LINE, max_size=30).map("\n".join)


def check(files: dict[str, bytes]) -> None:
    told = "a line"
    try:
        done = audit(Memory(files), "main.ini", on_fault=raise_fault)
    except SourceError as error:
        told = str(error)
    else:
        hold(done, files)
    assert len(told.splitlines()) == 1


def hold(done: Audit, files: dict[str, bytes]) -> None:
    """Every place is in a file that there is, at a line that it has."""
    for one in done.findings.findings:
        for place in (one.where, *one.related):
            document = done.tree.documents.get(place.file)
            assert place.file in files
            assert document is None or 1 <= place.line <= place.end_line <= len(document.line_starts)


@settings(max_examples=150, deadline=None)
@given(TEXT, TEXT)
def test_lines_that_look_like_a_configuration(main: str, included: str) -> None:
    check(
        {
            "main.ini": main.encode("utf-8", "surrogatepass"),
            "a.ini": included.encode("utf-8", "surrogatepass"),
        }
    )


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes(data: bytes) -> None:
    check({"main.ini": data})
