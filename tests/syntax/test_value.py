"""Values. Conversions: SI brochure, 9th edition, and 25.4 mm an inch. How people write them: no source."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cfgaudit.syntax.read_value import PLAIN, _parser, has_decimal_comma, read_value
from cfgaudit.syntax.units import TABLE, amount_as, unit_meaning
from cfgaudit.syntax.value import Boolean, Dimension, Fraction, Items, Number, Opaque, Text, Value, numbers


def amount(text: str) -> float:
    value = read_value(text)
    assert isinstance(value, Number), value
    return value.amount


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("-0.5", -0.5),
        ("+3", 3),
        (".5", 0.5),
        ("5.", 5),
        ("1e-3", 0.001),
        ("2E3", 2000),
        ("0x68", 0x68),
        ("007", 7),
    ],
)
def test_bare_numbers(text: str, expected: float) -> None:
    assert read_value(text) == Number(expected, text=text)


@pytest.mark.parametrize(
    ("text", "expected", "dimension"),
    [
        ("10 mm", 10, Dimension.LENGTH),
        ("10mm", 10, Dimension.LENGTH),
        ("10\u00a0mm", 10, Dimension.LENGTH),
        ("2 cm", 20, Dimension.LENGTH),
        ("1.2 m", 1200, Dimension.LENGTH),
        ("25 um", 0.025, Dimension.LENGTH),
        ("25 µm", 0.025, Dimension.LENGTH),
        ("25 \u03bcm", 0.025, Dimension.LENGTH),
        ("2 in", 50.8, Dimension.LENGTH),
        ("40 mm/turn", 40, Dimension.LENGTH),
        ("40 mm per turn", 40, Dimension.LENGTH),
        ("150 mm/s", 150, Dimension.SPEED),
        ("3000 mm/min", 50, Dimension.SPEED),
        ("150 mm / s", 150, Dimension.SPEED),
        ("150 mm/sec", 150, Dimension.SPEED),
        ("0.3 m/s", 300, Dimension.SPEED),
        ("3000 mm/s2", 3000, Dimension.ACCELERATION),
        ("3000 mm/s²", 3000, Dimension.ACCELERATION),
        ("3000 mm/s^2", 3000, Dimension.ACCELERATION),
        ("3000 mm/sec²", 3000, Dimension.ACCELERATION),
        ("3000 mm / s²", 3000, Dimension.ACCELERATION),
        ("3 m/s²", 3000, Dimension.ACCELERATION),
        ("65 °C", 65, Dimension.TEMPERATURE),
        ("65 C", 65, Dimension.TEMPERATURE),
        ("65C", 65, Dimension.TEMPERATURE),
        ("65 deg C", 65, Dimension.TEMPERATURE),
        ("65 degC", 65, Dimension.TEMPERATURE),
        ("5 K", 5, Dimension.TEMPERATURE),
        ("2 K/s", 2, Dimension.TEMPERATURE_RATE),
        ("2 °C/s", 2, Dimension.TEMPERATURE_RATE),
        ("2 °C / s", 2, Dimension.TEMPERATURE_RATE),
        ("60 K/min", 1, Dimension.TEMPERATURE_RATE),
        ("48.5 Hz", 48.5, Dimension.FREQUENCY),
        ("25 kHz", 25000, Dimension.FREQUENCY),
        ("8 MHz", 8e6, Dimension.FREQUENCY),
        ("30 s", 30, Dimension.TIME),
        ("250 ms", 0.25, Dimension.TIME),
        ("2 us", 2e-6, Dimension.TIME),
        ("2 min", 120, Dimension.TIME),
        ("1 h", 3600, Dimension.TIME),
        ("0.8 A", 0.8, Dimension.CURRENT),
        ("800 mA", 0.8, Dimension.CURRENT),
        ("24 V", 24, Dimension.VOLTAGE),
        ("3300 mV", 3.3, Dimension.VOLTAGE),
        ("100 ohm", 100, Dimension.RESISTANCE),
        ("4.7 k\u03a9", 4700, Dimension.RESISTANCE),
        ("4.7 k\u2126", 4700, Dimension.RESISTANCE),
        ("4.7 kohm", 4700, Dimension.RESISTANCE),
        ("4.7k", 4700, Dimension.RESISTANCE),
        ("100 k", 100_000, Dimension.RESISTANCE),
        ("110 mOhm", 0.11, Dimension.RESISTANCE),
        ("1 MOhm", 1e6, Dimension.RESISTANCE),
        ("0.11R", 0.11, Dimension.RESISTANCE),
        ("40 W", 40, Dimension.POWER),
        ("1.2 kW", 1200, Dimension.POWER),
        ("80 %", 0.8, Dimension.RATIO),
        ("80%", 0.8, Dimension.RATIO),
        ("90 deg", 90, Dimension.ANGLE),
        ("90°", 90, Dimension.ANGLE),
        ("250 kbit/s", 250_000, Dimension.BITRATE),
        ("1 Mbit/s", 1e6, Dimension.BITRATE),
        ("115200 baud", 115_200, Dimension.BITRATE),
        ("200 steps", 200, Dimension.NONE),
        ("80 /mm", 80, Dimension.NONE),
        ("80 steps / mm", 80, Dimension.NONE),
    ],
)
def test_numbers_with_units(text: str, expected: float, dimension: Dimension) -> None:
    value = read_value(text)
    assert isinstance(value, Number)
    assert value.amount == pytest.approx(expected, rel=1e-12)
    assert (value.dimension, value.text) == (dimension, text)


@pytest.mark.parametrize("text", ["280 °C", "2 °C/s", "90°", "3000 mm/s²", "25 µm", "5 µs"])
def test_a_unit_in_iso_8859_1_is_the_same_unit(text: str) -> None:
    """The bytes 0xB0, 0xB2 and 0xB5 of ISO/IEC 8859-1, in a file that is read as UTF-8."""
    value, same = read_value(text.encode("latin-1").decode("utf-8", "surrogateescape")), read_value(text)
    assert isinstance(value, Number)
    assert isinstance(same, Number)
    assert (value.amount, value.unit, value.dimension) == (same.amount, same.unit, same.dimension)


def test_a_byte_that_is_no_unit_in_iso_8859_1_makes_text() -> None:
    assert isinstance(read_value("5 \udce9"), Text)


def test_milli_and_mega_are_told_apart() -> None:
    assert amount("1 mA") == 1e-3
    assert amount("1 m\u03a9") == 1e-3
    assert amount("1 M\u03a9") == 1e6
    assert amount("1 ms") == 1e-3


@pytest.mark.parametrize(
    "text",
    [
        *("1_000", "3 wires", "3d", "10.0.0.1", "2026-05-01", "12:30:00", "10-20", "- 5", "5 mm wide", "5 x"),
        *("1e999", "9" * 60, "−5", "NTC 100k B3950", "pull-up 4.7k", "m", "x", "to", "on fire", "<GND>"),
        *("<pin>", "10 20 moons", "10 x 20 moons", "0 .. 420 moons", "{", "100 %%", "5 mm / moon"),
    ],
)
def test_what_stays_text(text: str) -> None:
    assert read_value(text) == Text(text)


@pytest.mark.parametrize(
    ("text", "joiner", "amounts"),
    [
        ("10, 20", "comma", (10, 20)),
        ("10,20,", "comma", (10, 20)),
        ("1,5", "comma", (1, 5)),
        ("10 x 20", "cross", (10, 20)),
        ("10x20×30", "cross", (10, 20, 30)),
        ("0 .. 420", "range", (0, 420)),
        ("-5..420", "range", (-5, 420)),
        ("0...420", "range", (0, 420)),
        ("0 … 420", "range", (0, 420)),
        ("0 to 420", "range", (0, 420)),
        ("10 20 -30", "space", (10, 20, -30)),
        ("10\n20\n\n30", "line", (10, 20, 30)),
        ("(10, 20)", "comma", (10, 20)),
        ("[10, 20]", "comma", (10, 20)),
    ],
)
def test_lists(text: str, joiner: str, amounts: tuple[float, ...]) -> None:
    value = read_value(text)
    assert isinstance(value, Items)
    assert (value.joiner, numbers(value)) == (joiner, amounts)


def test_the_unit_of_the_last_number_holds_for_the_whole_of_a_cross_or_a_range() -> None:
    for text in ("3 x 4 cm", "3 .. 4 cm", "3 to 4 cm", "3 4 cm"):
        assert numbers(read_value(text)) == (30, 40), text
    assert numbers(read_value("3 mm x 4 cm")) == (3, 40)
    assert numbers(read_value("3, 4 cm")) == (3, 40)


def test_lists_of_lists() -> None:
    pairs = Items((pair(10, 20), pair(30, 40)), "line")
    assert read_value("10, 20\n  30, 40") == pairs
    assert read_value("10, 20,\n30, 40,") == pairs
    assert read_value("(10, 20), (30, 40)") == Items(pairs.items, "comma")


def pair(one: int, other: int) -> Items:
    return Items((Number(one, text=str(one)), Number(other, text=str(other))), "comma")


def test_a_mixed_list_keeps_its_items_apart() -> None:
    assert read_value("main.PC2, NTC 100k B3950, pull-up 4.7k, 20 x 30 moons, 5 V") == Items(
        (
            Text("main.PC2"),
            Text("NTC 100k B3950"),
            Text("pull-up 4.7k"),
            Text("20 x 30 moons"),
            Number(5, "V", Dimension.VOLTAGE, "5 V"),
        ),
        "comma",
    )


def test_empty_items() -> None:
    assert read_value("") == read_value(" \n ") == Text("")
    assert read_value("a,,b") == Items((Text("a"), Text(""), Text("b")), "comma")
    assert read_value(",5") == Items((Text(""), Number(5, text="5")), "comma")


@pytest.mark.parametrize(
    ("text", "over", "under"), [("1:3", 1, 3), ("80:20", 80, 20), ("1/16", 1, 16), ("3.5 : 1", 3.5, 1)]
)
def test_fractions(text: str, over: float, under: float) -> None:
    assert read_value(text) == Fraction(over, under)


def test_booleans() -> None:
    for word in ("yes", "True", "ON", "enabled"):
        assert read_value(word) == Boolean(True)
    for word in ("no", "False", "OFF", "disabled"):
        assert read_value(word) == Boolean(False)
    assert isinstance(read_value("0"), Number)


def test_quoted_text_is_never_anything_else() -> None:
    assert read_value('"10, 20"') == Text("10, 20", quoted=True)
    assert read_value("'yes'") == Text("yes", quoted=True)
    assert read_value("it's 5") == Text("it's 5")


@pytest.mark.parametrize(
    "text", ["{speed}", "${speed}", "10, {speed * 2}", "%(speed)s", "a\n{b}\nc", "<% x %>", "{{ a }}"]
)
def test_placeholders_make_the_whole_value_opaque(text: str) -> None:
    assert read_value(text) == Opaque(text)


def test_decimal_commas_are_told() -> None:
    assert [has_decimal_comma(text) for text in ("0,4", "-0,4", "0,4 mm", " 12,50 ")] == [True] * 4
    assert not any(
        map(has_decimal_comma, ("0, 4", "0 ,4", "1,2,3", "0.4", "a,4", "0,4 moons", "0,", ",4", ""))
    )


def test_a_letter_with_two_uses_takes_the_one_that_is_expected() -> None:
    def read(text: str, dimension: Dimension) -> float | None:
        value = read_value(text)
        assert isinstance(value, Number)
        return amount_as(value, dimension)

    assert read("250k", Dimension.BITRATE) == 250_000
    assert read("4.7K", Dimension.RESISTANCE) == 4700
    assert read("5 K", Dimension.TEMPERATURE) == 5
    assert read("5m", Dimension.TIME) == 300
    assert read("5", Dimension.TIME) == 5
    assert read("5 mm", Dimension.TIME) is None
    assert read("5 V", Dimension.RESISTANCE) is None


def test_every_unit_of_the_table_is_in_the_grammar() -> None:
    for dimension, scales in TABLE.items():
        for (times, by), names in scales.items():
            for unit in names.split():
                spelled = {"k/s": "K/s", "k/min": "K/min"}.get(unit, unit)
                spelled = spelled.replace("c/", "C/") if dimension is Dimension.TEMPERATURE_RATE else spelled
                spelled = "MHz" if unit == "mhz" else spelled
                value = read_value(f"7 {spelled}")
                assert isinstance(value, Number), spelled
                assert (value.dimension, value.amount) == (dimension, 7 * times / by)
                assert unit_meaning(spelled) == (dimension, (times, by))


floats = st.floats(-1e6, 1e6, allow_nan=False).map(lambda one: round(one, 6))


@given(floats, st.sampled_from(["", "mm", " mm", " °C", "\u00a0V"]))
def test_a_formatted_number_comes_back(number: float, unit: str) -> None:
    value = read_value(f"{number!r}{unit}")
    assert isinstance(value, Number)
    assert value.amount == number
    assert value.text == f"{number!r}{unit}"
    assert value.unit == unit.strip()


@given(st.lists(floats, min_size=2, max_size=6), st.sampled_from([", ", ",", " x ", " × ", " ", "\n"]))
def test_a_formatted_list_comes_back(amounts: list[float], joint: str) -> None:
    value = read_value(joint.join(format(one, "f") for one in amounts))
    assert isinstance(value, Items)
    assert numbers(value) == tuple(amounts)


@given(st.integers(0, 2**40))
def test_hexadecimal_comes_back(number: int) -> None:
    assert amount(hex(number)) == number


PIECES = st.sampled_from(
    [
        *"0123456789.,;:xX×/-+%()[]{}<>\"'\n\t eEkKmMsVA°",
        "..",
        " x ",
        " to ",
        "mm",
        "²",
        "yes",
        "0x",
        "\u00a0",
        "٣",
        "$",
    ]
)


@given(st.one_of(st.text(max_size=60), st.lists(PIECES, max_size=25).map("".join)))
def test_any_text_is_read_and_nothing_is_infinite(text: str) -> None:
    for one in leaves(read_value(text)):
        if isinstance(one, Number):
            assert math.isfinite(one.amount)
            assert one.text
            assert one.text in text
    has_decimal_comma(text)


def leaves(value: Value) -> list[Value]:
    if isinstance(value, Items):
        assert len(value.items) > 1
        return [leaf for item in value.items for leaf in leaves(item)]
    return [value]


LETTERS = st.sampled_from(["a", "x", "K", "µ", "é", "ſ", "İ", "on", "off", "enabled", "to"])


@given(st.lists(st.one_of(LETTERS, PIECES), max_size=8).map(lambda pieces: "".join(pieces).strip()))
def test_what_is_not_parsed_would_be_parsed_as_text(text: str) -> None:
    if PLAIN.fullmatch(text):
        parsed = _parser()(text)
        assert isinstance(parsed, Text)
        assert parsed == Text(text)
