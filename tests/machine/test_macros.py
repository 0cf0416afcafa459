"""Macros, and who calls whom."""

from __future__ import annotations

from machine.readings import machine_of

TEXT = """
[macro begin]
says =
    G28
    wipe speed=4
    G1 X10 F600

    Wipe
    beep
[macro wipe]
says = begin
[macro idle]
[filament spool]
says =
    wipe
"""


def test_calls_lead_to_macros_in_any_spelling() -> None:
    begin, wipe, idle, watch = machine_of(TEXT).macros
    assert [(call.name, call.target) for call in begin.calls] == [
        ("wipe", wipe),
        ("Wipe", wipe),
        ("beep", None),
    ]
    assert [call.target for call in wipe.calls] == [begin]
    assert begin.calls[0].arguments == (("speed", "4"),)
    assert (idle.body, idle.lines, idle.calls) == (None, (), ())
    assert (watch.name, watch.part.kind, [call.target for call in watch.calls]) == ("", "filament", [wipe])


def test_a_call_has_its_place_in_the_file() -> None:
    begin, wipe, *_ = machine_of(TEXT).macros
    places = [(call.place.line, call.place.column, call.place.end_column) for call in begin.calls]
    assert places == [(5, 5, 9), (8, 5, 9), (9, 5, 9)]
    assert (wipe.calls[0].place.line, wipe.calls[0].place.column) == (11, 8)


def test_a_macro_may_call_itself() -> None:
    (macro,) = machine_of("[macro again]\nsays = again\n").macros
    assert macro.calls[0].target is macro


def test_lines_are_those_of_the_body() -> None:
    begin = machine_of(TEXT).macros[0]
    assert [line.text.strip() for line in begin.lines if line.text.strip()] == [
        "G28",
        "wipe speed=4",
        "G1 X10 F600",
        "Wipe",
        "beep",
    ]
