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


def test_words_that_begin_the_names_of_several_bodies_are_no_part_of_a_macro_name() -> None:
    """No word says that these are macros: only their bodies do."""
    bodies = ("gc.start", "G28\n    wipe"), ("gc.wipe", "G1 X3"), ("lone one", "G4")
    machine = machine_of("".join(f"[{name}]\nsays =\n    {body}\n" for name, body in bodies))
    start, wipe, _ = machine.macros
    assert [macro.name for macro in machine.macros] == ["start", "wipe", ""]
    assert [call.target for call in start.calls] == [wipe]


def test_of_two_bodies_the_one_with_code_is_the_macro() -> None:
    (macro,) = machine_of("[macro a]\nsays low = gets warm\nsays =\n    G28\n").macros
    assert [line.codes for line in macro.lines if line.words] == [("G28",)]
