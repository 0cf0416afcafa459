"""Heat: what must be found beyond the cards' examples, and what must raise no alarm."""

from __future__ import annotations

import pytest

from cfgaudit.audit import audit_text
from tests.checks.finding_lines import findings, grave, said

HEAT = (
    "heater-without-sensor",
    "heater-without-limits",
    "limits-inverted",
    "limit-beyond-practice",
    "heater-unguarded",
    "cold-side-fan-missing",
    "cold-side-fan-late",
    "circulation-fan-missing",
    "fan-never-runs",
    "pid-copied",
    "pid-incomplete",
    "duty-out-of-range",
)

BED = "[heater bed]\ndrive = PD12\nthermometer = PC0\nlowest = 5\nhighest = 110\n"
NOZZLE = "[heater nozzle]\ndrive = PD13\nthermometer = PC1\nlowest = 5\nhighest = 280\n"
CHAMBER = "[heater chamber]\ndrive = PD14\nthermometer = PC2\nlowest = 5\nhighest = 65\n"
BARE_CHAMBER = "[heater chamber]\ndrive = PD14\nlowest = 5\nhighest = 65\n"
STIRRED = CHAMBER + "[fan stirrer]\npin = PA1\nruns with = heater chamber, from 30\n"
COOLED = NOZZLE + "[fan heatsink]\npin = PA2\nruns with = heater nozzle, from 45\n"

SILENT = {
    "a heater whose sensor may be a word that nobody knows": BED + BARE_CHAMBER + "frobbed by = warm spot\n",
    "a heater whose sensor's pin has a word that nobody knows": BED + BARE_CHAMBER + "glub = PC2\n",
    "a heater that follows another": BED + BARE_CHAMBER + "slave of = heater bed\n",
    "a heater and a sensor that names it": BED + BARE_CHAMBER + "[sensor air]\npin = PC2\nheater = chamber\n",
    "a heater and the sensor of its name": BED + BARE_CHAMBER + "[sensor chamber]\npin = PC2\n",
    "a heater of which a section with a pin speaks that nobody understands": (
        BED + BARE_CHAMBER + "[wobble chamber]\nglub = PC2\n"
    ),
    "heaters and sensors that nothing ties together": (
        "[heater one]\ndrive = PD12\nlowest = 5\nhighest = 90\n[sensor alpha]\npin = PC0\n"
    ),
    "limits that the sensor's section states": (
        "[heater bed]\ndrive = PD12\nsensor = slab\n[sensor slab]\npin = PC0\nlowest = 5\nhighest = 110\n"
        + CHAMBER
    ),
    "a limit in a word that nobody knows": (
        CHAMBER + "[heater bed]\ndrive = PD12\nthermometer = PC0\nlowest = 5\nzenith = 110\n"
    ),
    "temperatures for a material": "[material pla]\nnozzle = 215 °C\nbed = 60 °C\n",
    "limits in templates": BED.replace("110", "${high}").replace("= 5", "= ${low}"),
    "a sensor for the cold": "[sensor room]\npin = PC0\nlowest = -40 °C\nhighest = 60 °C\n",
    "a hot end for high temperatures": NOZZLE.replace("280", "420"),
    "a hot end without a liner": NOZZLE + "ptfe = no\n",
    "a heater of unknown use": "[heater dryer]\ndrive = PD12\nthermometer = PC0\nlowest = 5\nhighest = 160\n",
    "no guards at all": BED + NOZZLE,
    "guards within the heaters": BED + "guard time = 60 s\n" + NOZZLE + "guard time = 20 s\n",
    "a section that nobody understands is no guard": BED + NOZZLE + "[wobble bed]\nfrob = 60\n",
    "one guard for all heaters": BED + NOZZLE + "[guard]\nmust gain = 2 K\nwithin = 60 s\n",
    "a guard that watches the sensor": (
        "[heater bed]\ndrive = PD12\nsensor = slab\nlowest = 5\nhighest = 110\n[sensor slab]\npin = PC0\n"
        "[guard first]\nwatches = sensor slab\nmust gain = 2\nwithin = 60\n"
        "[guard second]\nwatches = heater nozzle\nmust gain = 2\nwithin = 20\n" + NOZZLE
    ),
    "a guard whose heater is mistyped": (
        BED + NOZZLE + "[guard one]\nwatches = heater bed\nmust gain = 2\nwithin = 60\n"
        "[guard two]\nwatches = heater nozle\nmust gain = 2\nwithin = 20\n"
    ),
    "no fan is bound to any heater": BED + NOZZLE + CHAMBER + "[fan part]\npin = PA1\n",
    "a fan that may be the cold side's": STIRRED + NOZZLE + "[fan second]\npin = PA3\n",
    "a fan with words that nobody knows": STIRRED + NOZZLE + "[fan part]\npin = PA3\nglub = nozzle\n",
    "a hot end that names its fan": STIRRED + NOZZLE + "cooled by = blower\n[fan blower]\npin = PA3\n",
    "a hot end that is cooled by a pump": STIRRED + NOZZLE + "cooled by = pump\n[output pump]\npin = PA3\n",
    "a fan with the hot end's name": STIRRED + NOZZLE + "[fan nozzle]\npin = PA3\n",
    "a fan for the printed part that waits for a hot nozzle": (
        COOLED + "[fan part]\npin = PA4\nruns with = heater nozzle, from 150\n"
    ),
    "a second fan that starts later": COOLED + "[fan lid]\npin = PA4\nruns with = heater nozzle, from 120\n",
    "a cold side's fan that starts at once": NOZZLE
    + "[fan heatsink]\npin = PA2\nruns with = heater nozzle\n",
    "a chamber that nobody stirs on a machine that binds no fans": CHAMBER + "[fan part]\npin = PA1\n",
    "a fan whose trigger may be reached": STIRRED,
    "a fan that follows a sensor without a limit": (
        "[sensor bay]\npin = PC5\n[fan bay]\npin = PA1\nruns with = sensor bay, from 300\n"
    ),
    "a fan that begins at rest": "[fan part]\npin = PA1\nspeed = 0\n",
    "no gains yet": BED + "p = 0\ni = 0\nd = 0\n" + CHAMBER + "p = 0\ni = 0\nd = 0\n",
    "two-point control with a gain left": BED + "regulator = two-point\np = 12\n",
    "PID that the firmware tunes itself": BED + "regulator = PID\n",
    "shares of 1": BED + "power at most = 1\n[fan part]\npin = PA1\npower at least = 0\n",
    "shares of 100": BED + "power at most = 85\n[fan part]\npin = PA1\npower at least = 20\n",
    "shares of 255": BED + "power at most = 255\n[fan part]\npin = PA1\npower at most = 180\n",
    "a heater's rating is no share": BED + "rating = 1100 W\n[fan part]\npin = PA1\npower at least = 20 %\n",
}


@pytest.mark.parametrize("case", SILENT)
def test_nothing_is_said_of(case: str) -> None:
    assert said(SILENT[case], *HEAT) == []


def test_where_no_guard_is_written_the_rule_says_why_it_does_not_run() -> None:
    skipped = {one.rule: one.reason for one in audit_text({"main.ini": BED}).findings.skipped}
    assert "firmware may guard" in skipped["heater-unguarded"]


def test_without_heaters_nothing_is_skipped() -> None:
    skipped = {one.rule for one in audit_text({"main.ini": "[fan part]\npin = PA1\n"}).findings.skipped}
    assert "heater-unguarded" not in skipped


def guards_of(*names: str) -> str:
    return "".join(f"[guard {name}]\nwatches = heater {name}\nmust gain = 2\nwithin = 60\n" for name in names)


def test_a_whole_machine_in_order_is_no_error() -> None:
    assert grave(BED + COOLED + STIRRED + guards_of("bed", "nozzle", "chamber")) == []


@pytest.mark.parametrize("name", ["bed", "nozzle", "chamber"])
def test_each_heater_that_loses_its_guard_is_found(name: str) -> None:
    names = [one for one in ("bed", "nozzle", "chamber") if one != name]
    guards = "".join(
        f"[guard {one}]\nwatches = heater {one}\nmust gain = 2 K\nwithin = 60 s\n" for one in names
    )
    found = findings(BED + NOZZLE + CHAMBER + guards, "heater-unguarded")
    assert [one.message.split(",")[0] for one in found] == [f"nothing watches heater {name}"]


@pytest.mark.parametrize(
    ("within", "found"),
    [
        ("control = two-point\nband = 2", True),
        ("control = PID\nband = 2", False),
        ("band = 2", False),
        ("must gain = 2", False),
        ("runaway band = 2", False),
        ("control = two-point\nrunaway band = 2", False),
    ],
)
def test_a_band_of_two_point_control_is_no_guard(within: str, found: bool) -> None:
    lines = said(NOZZLE + guards_of("nozzle") + CHAMBER + within, "heater-unguarded")
    assert [one.line for one in lines] == ([10] if found else [])


def test_a_band_alone_does_not_show_that_heaters_need_guards() -> None:
    assert said(BED + NOZZLE + "control = two-point\nband = 2\n", "heater-unguarded") == []
    assert [one.line for one in said(BED + NOZZLE + "rise = 2\nrise time = 20\n", "heater-unguarded")] == [1]


TAKEN_FOR_A_PIN = """
[parts]
"minder" = ["guard", "heater"]
[roles]
"minder:looks at" = "pin.heater"
"""


@pytest.mark.parametrize(
    ("section", "heats"),
    [
        ("[minder]\nlooks at = nozle\nmust gain = 2\n", False),
        ("[minder]\nlooks at = PA3\nmust gain = 2\n", False),
        ("[heater melt]\nheater pin = nozzle\n", False),
        ("[heater melt]\nheater pin = socket\n", True),
    ],
)
def test_a_name_that_was_taken_for_a_pin_makes_no_heater(section: str, heats: bool) -> None:
    audit = audit_text({"main.ini": BED + NOZZLE + section}, TAKEN_FOR_A_PIN)
    found = [one.rule for one in audit.findings.findings if one.where.line == 11]
    assert ("heater-without-sensor" in found) is heats
    assert ("heater-without-limits" in found) is heats


COOLS = """
[parts]
"cooler" = "heater"
[roles]
"cooler:out" = "pin.heater"
"cooler:turning" = "pin.tach"
"cooler:begins" = "temp.trigger"
"cooler:with" = "ref.heater"
"cooler:up to" = "temp.max"
"cooler:nose" = "pin.sensor"
"""


@pytest.mark.parametrize(
    ("settings", "heats"),
    [
        ("out = PA3\n", False),
        ("out = PA3\nturning = PA4\nup to = 60\n", False),
        ("out = PA3\nbegins = 45\nup to = 60\n", False),
        ("out = PA3\nwith = nozzle\nup to = 60\n", False),
        ("out = PA3\nup to = 60\n", False),
        ("out = PA3\ncontrol = two-point\nup to = 60\n", True),
        ("out = PA3\nwith = nozzle\nnose = PC7\n", True),
    ],
)
def test_a_section_that_only_seems_a_heater_needs_no_guard(settings: str, heats: bool) -> None:
    """As if the word for the section stood for heat: its settings must show that it heats."""
    text = BED + NOZZLE + guards_of("bed", "nozzle") + "[cooler]\n" + settings
    found = [one.rule for one in audit_text({"main.ini": text}, COOLS).findings.findings]
    assert ("heater-unguarded" in found) is heats
    assert ("heater-without-sensor" in found) is (heats and "nose" not in settings)


@pytest.mark.parametrize(
    ("minder", "guards"),
    [
        ("[minder]\nof = bed\nguard rise = 2\n", True),
        ("[minder]\nglub = heater bed\nguard rise = 2\n", True),
        ("[minder bed]\nguard rise = 2\n", True),
        ("[wobble]\nglub = heater bed\nfrob = 60 s\n", True),
        ("[wobble]\nglub = heater bed\nfrob = blue\n", False),
        ("[wobble]\nglub = heater bed\nfrob = 60\npin = PA5\n", False),
        ("[minder]\nglub = bay\nguard rise = 2\n", False),
        ("[minder bed]\nglub = 3\n", False),
    ],
)
def test_what_speaks_of_a_rise_and_has_no_pin_is_a_guard_whatever_it_was_taken_for(
    minder: str, guards: bool
) -> None:
    project = '[parts]\n"minder" = "heater"\n"minder bed" = "heater"\n[roles]\n"minder:of" = "ref.heater"\n'
    audit = audit_text({"main.ini": BED + NOZZLE + guards_of("nozzle") + minder}, project)
    found = [one.where.line for one in audit.findings.findings if one.rule == "heater-unguarded"]
    assert found == ([] if guards else [1])


def test_a_guard_whose_heater_is_nowhere_is_told_once_and_nothing_else() -> None:
    config = BED + NOZZLE + "[guard melt]\nheater = nozle\nmust gain = 2\nwithin = 20\n"
    assert [(one.rule, one.line) for one in grave(config)] == [("reference-dangling", 12)]


def test_a_missing_limit_where_no_heater_has_one_is_a_warning() -> None:
    config = "[heater bed]\ndrive = PD12\nthermometer = PC0\n"
    assert [(one.severity, one.line) for one in said(config, "heater-without-limits")] == [("warning", 1)]
    assert [(one.severity, one.line) for one in said(CHAMBER + config, "heater-without-limits")] == [
        ("danger", 6)
    ]


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("zenith = 110", False),
        ("zenith = 450 °C", False),
        ("zenith = 0 .. 110", False),
        ("zenith = 110C", False),
        ("zenith = slab 110, block 260", False),
        ("zenith = ${top}", False),
        ("zenith = 12", True),
        ("beta = 3950", True),
        ("bead = NTC 100k B3950", True),
        ("bead = EX104-GT500", True),
        ("glub = 800 ms", True),
    ],
)
def test_what_nobody_understands_is_a_limit_only_where_it_may_be_one(word: str, found: bool) -> None:
    config = f"{CHAMBER}[heater bed]\ndrive = PD12\nthermometer = PC0\nlowest = 5\n{word}\n"
    assert bool(said(config, "heater-without-limits")) is found


def test_limits_of_heater_and_sensor_together() -> None:
    config = (
        "[heater bed]\ndrive = PD12\nsensor = slab\nlowest = 50\n[sensor slab]\npin = PC0\nhighest = 15\n"
    )
    assert [one.line for one in said(config, "limits-inverted")] == [7]


def test_of_two_lower_limits_one_is_something_else() -> None:
    assert said(BED + "least temperature = 200\n", "limits-inverted") == []


def test_kelvin_and_celsius_compare() -> None:
    config = "[heater bed]\ndrive = PD12\nthermometer = PC0\nlowest = 278 K\nhighest = 110 °C\n"
    assert said(config, "limits-inverted") == []


@pytest.mark.parametrize(("most", "found"), [(150, []), (151, [5])])
def test_the_bed_may_reach_exactly_the_limit(most: int, found: list[int]) -> None:
    assert [one.line for one in said(BED.replace("110", str(most)), "limit-beyond-practice")] == found


def test_limits_can_be_overridden() -> None:
    project = '[limits]\n"limit-beyond-practice.bed" = 200\n'
    audit = audit_text({"main.ini": BED.replace("110", "180")}, project)
    assert [one for one in audit.findings.findings if one.rule == "limit-beyond-practice"] == []


def test_two_hot_ends_with_the_same_gains_are_a_note() -> None:
    gains = "p = 20\ni = 1\nd = 90\n"
    second = NOZZLE.replace("nozzle", "nozzle two").replace("PD13", "PD15").replace("PC1", "PC4")
    assert [(one.severity, one.line) for one in said(NOZZLE + gains + second + gains, "pid-copied")] == [
        ("note", 14)
    ]


@pytest.mark.parametrize("share", ["-0.1", "-5 %", "120 %", "1.4", "101 %"])
def test_shares_that_are_none(share: str) -> None:
    found = said(BED + f"power at most = {share}\n", "duty-out-of-range")
    assert [(one.severity, one.line) for one in found] == [("error", 6)]


@pytest.mark.parametrize("share", ["0", "1", "0.5", "100 %", "0 %", "85", "255", "1023"])
def test_shares_that_may_be(share: str) -> None:
    assert said(BED + f"power at most = {share}\n", "duty-out-of-range") == []


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("power = 40", False),
        ("speed = 255", False),
        ("max power = 255", False),
        ("power = 1.4", False),
        ("max power = 40", True),
        ("duty = 40", True),
        ("power = -0.2", True),
        ("power = 140 %", True),
    ],
)
def test_a_bare_number_is_a_share_only_where_a_word_says_so(line: str, found: bool) -> None:
    others = "[fan one]\npin = PA1\npower at least = 20 %\n[fan two]\npin = PA2\n"
    assert bool(said(f"{others}{line}\n", "duty-out-of-range")) is found


def test_a_share_that_no_scale_has_is_a_warning() -> None:
    found = said(BED + "power at most = 140\n", "duty-out-of-range")
    assert [(one.severity, one.line) for one in found] == [("warning", 6)]


def test_a_late_fan_is_found_at_its_temperature() -> None:
    (found,) = findings(COOLED.replace("45", "70"), "cold-side-fan-late")
    assert (found.where.line, found.where.column) == (8, 33)


def test_a_fan_above_the_limit_relates_to_the_limit() -> None:
    (found,) = findings(STIRRED.replace("30", "90"), "fan-never-runs")
    assert (found.where.line, [place.line for place in found.related]) == (8, [5])


@pytest.mark.parametrize(
    ("line", "found"), [("keeper = Noor", True), ("mat = 300 mm", True), ("tune = 4.2", False), ("", True)]
)
def test_a_gain_may_hide_behind_a_word_that_nobody_knows_only_if_it_is_a_number(
    line: str, found: bool
) -> None:
    text = f"{BED}control = pid\npid p = 40\npid d = 600\n{line}\n"
    assert bool(findings(text, "pid-incomplete")) is found
