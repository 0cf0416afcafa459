"""When a measurement no longer holds, and when it does whatever was edited."""

from __future__ import annotations

from datetime import timedelta

import pytest

from cfgaudit.audit import audit_text
from cfgaudit.data import data_folder
from cfgaudit.evidence.records import staleness
from cfgaudit.evidence.records.chosen import chosen_now, results_of_choice
from cfgaudit.evidence.records.dependencies import dependencies, settings_digest
from cfgaudit.evidence.records.record import DependedOn, Evidence, MeasurementKind, Record, Result
from cfgaudit.evidence.records.rereading import unread_settings
from cfgaudit.evidence.records.staleness import affects_part, holding, outdated_results, stale_records
from cfgaudit.machine.model import Machine
from evidence.made_records import NOON, a_record

RESONANCE, BELTS, HEATUP = MeasurementKind.RESONANCE, MeasurementKind.BELTS, MeasurementKind.HEATUP
REPEATABILITY = MeasurementKind.REPEATABILITY
SHAKEN = {RESONANCE, BELTS}
HERON = data_folder("samples") / "heron" / "base"
FILES = {
    "heron.ini": (HERON / "heron.ini").read_text("utf-8"),
    **{path.relative_to(HERON).as_posix(): path.read_text("utf-8") for path in HERON.rglob("*.ini")},
}
KINDS = {
    RESONANCE: "axis x",
    BELTS: "belts",
    REPEATABILITY: "probe",
    HEATUP: "heater bed",
}


def machine_of(files: dict[str, str]) -> Machine:
    return audit_text(files).machine


def edited(file: str, *edits: tuple[str, str], **more: str) -> dict[str, str]:
    """Heron's files with edits in one of them."""
    text = FILES[file]
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    return {**FILES, file: text, **{f"{name}.ini": added for name, added in more.items()}}


def measured(machine: Machine, kind: MeasurementKind, part: str) -> Record:
    """A record of this machine, as a measuring command makes it."""
    digest = settings_digest(machine.reading.tree)
    return a_record(kind, part, digest=digest, depends=dependencies(kind, part, machine))


def reasons(files: dict[str, str], kind: MeasurementKind, part: str = "") -> tuple[str, ...]:
    """Why a measurement of Heron no longer holds after an edit."""
    record = measured(machine_of(FILES), kind, part or KINDS[kind])
    return next((one.reasons for one in stale_records(Evidence((record,)), machine_of(files))), ())


def stale_kinds(files: dict[str, str]) -> set[MeasurementKind]:
    return {kind for kind in KINDS if reasons(files, kind)}


def test_the_current_of_x_makes_its_resonance_stale() -> None:
    files = edited("gantry.ini", ("running current = 1.2 A", "running current = 1.35 A"))
    assert reasons(files, RESONANCE) == ("[driver x] running current was 1.2 A and is 1.35 A now",)
    assert reasons(files, RESONANCE, "axis y") == ()
    assert stale_kinds(files) == {RESONANCE, BELTS}
    (one,) = stale_records(Evidence((measured(machine_of(FILES), RESONANCE, "axis x"),)), machine_of(files))
    assert [(place.file, files[place.file].split("\n")[place.line - 1]) for place in one.places] == [
        ("gantry.ini", "running current = 1.35 A")
    ]


@pytest.mark.parametrize(
    ("file", "old", "new", "stale"),
    [
        ("gantry.ini", "travel per turn = 40 mm     ; 20", "travel per turn = 32 mm ; 16", SHAKEN),
        ("gantry.ini", "full steps      = 400", "full steps = 200", SHAKEN),
        ("gantry.ini", "kinematics       = cartesian", "kinematics = corexy", SHAKEN),
        ("gantry.ini", "TMC2209\nuart            = main.PE6", "TMC5160\nuart = main.PE6", SHAKEN),
        ("gantry.ini", "0.11 ohm\nrunning current = 1.2 A", "0.075 ohm\nrunning current = 1.2 A", SHAKEN),
        ("heat.ini", "rating        = 1100 W", "rating = 750 W", {HEATUP}),
        ("heat.ini", "power at most = 85 %", "power at most = 100 %", {HEATUP}),
        ("heat.ini", "main.PC0, NTC 100k B3950", "main.PC0, Pt1000", {HEATUP}),
        ("probing.ini", "-28 mm", "-38 mm", {REPEATABILITY}),
        ("lift.ini", "travel per turn = 4 mm", "travel per turn = 8 mm", {REPEATABILITY}),
        ("lift.ini", "holding current = 0.9 A     ;", "holding current = 0.5 A ;", {REPEATABILITY}),
    ],
)
def test_what_changes_the_machine(file: str, old: str, new: str, stale: set[MeasurementKind]) -> None:
    """Common practice, no source."""
    assert stale_kinds(edited(file, (old, new))) == stale


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("gantry.ini", "running current = 1.2 A", "running current = 1200 mA ; the same"),
        ("gantry.ini", "kinematics       = cartesian", "kinematics = Cartesian"),
        ("gantry.ini", "travel per turn = 40 mm     ; 20 teeth of 2 mm", "travel per turn = 39.94 mm"),
        ("gantry.ini", "top acceleration = 5000 mm/s²", "top acceleration = 3000 mm/s²"),
        ("gantry.ini", "holding current = 0.7 A", "holding current = 0.5 A"),
        ("gantry.ini", "uart            = main.PE6", "uart = main.PD5"),
        ("gantry.ini", "microsteps      = 16", "microsteps = 32"),
        ("tuning.ini", "frequency", "frequency ; measured\nfrequency"),
        ("heron.ini", ";~ offset z = 1.872 mm", ";~ offset z = 1.913 mm"),
        ("heat.ini", "drive         = main.PD12", "drive = main.PD13"),
        ("heat.ini", "pid p         = 48.0", "pid p = 52.0"),
        ("heat.ini", "rating        = 1100 W", "rating = 1.1 kW"),
        ("heat.ini", "within       = 60 s", "within = 30 s"),
        ("heat.ini", "highest       = 110 °C", "highest = 100 °C"),
    ],
)
def test_what_changes_nothing_that_was_measured(file: str, old: str, new: str) -> None:
    """Common practice, no source: spellings, plugs, calibrations, and what one measures for."""
    assert stale_kinds(edited(file, (old, new))) == set()


def test_a_calibration_has_an_end() -> None:
    """Of 20 teeth the next pulley has 19 or 21, 5 % away."""
    for travel in ("42 mm", "38 mm"):
        files = edited("gantry.ini", ("travel per turn = 40 mm     ; 20", f"travel per turn = {travel} ; 20"))
        assert stale_kinds(files) == {RESONANCE, BELTS}


def test_names_files_and_order_are_nothing() -> None:
    """The driver of x moves to a file of its own, under another name, with other words, in another order."""
    driver = FILES["gantry.ini"][FILES["gantry.ini"].index("[driver x]") :].split("\n\n")[0]
    moved = (
        "[stepper driver left]\nrun current = 1.2 A\nhold current = 0.7 A\nsense resistor = 0.11 ohm\n"
        "chip = TMC2209\nuart = main.PE6\nmotor = motor left\n"
    )
    edits = (driver, ""), ("[motor x]", "[motor left]"), ("[driver y]", "%include more.ini\n[driver y]")
    files = edited("gantry.ini", *edits, more=moved)
    assert stale_kinds(files) == set()


def test_renamed_heaters_and_probes_are_followed() -> None:
    files = edited("heat.ini", ("heater bed", "heater plate"), ("bed-plate", "plate-mat"))
    assert reasons(files, HEATUP) == ()
    record = measured(machine_of(FILES), HEATUP, "heater bed")
    assert holding(Evidence((record,)), machine_of(files), HEATUP, "heater plate") is record
    changed = {**files, "heat.ini": files["heat.ini"].replace("1100 W", "900 W")}
    assert reasons(changed, HEATUP) == ("[heater plate] rating was 1100 W and is 900 W now",)
    tower = {name: text.replace("[probe]", "[probe tower]") for name, text in FILES.items()}
    assert reasons(tower, REPEATABILITY) == ()


def test_what_is_gone() -> None:
    text = "[heater bed]\nheat pin = PA1\nrating = 400 W\n[heater nozzle]\nheat pin = PA2\nrating = 60 W\n"
    record = measured(machine_of({"m.ini": text}), HEATUP, "heater bed")
    others = {"m.ini": "[heater left]\nrating = 40 W\n[heater right]\nrating = 40 W\n"}
    for files in ({"m.ini": "[fan a]\npin = PA1\n"}, others):
        (one,) = stale_records(Evidence((record,)), machine_of(files))
        assert one.reasons == ("heater bed is gone",)
    less = {"m.ini": text.replace("rating = 400 W\n", "")}
    (one,) = stale_records(Evidence((record,)), machine_of(less))
    assert one.reasons == ("[heater bed] rating was 400 W and is gone",)
    assert one.places == ()
    axis = measured(machine_of(FILES), RESONANCE, "axis x")
    (one,) = stale_records(Evidence((axis,)), machine_of({"m.ini": text}))
    assert one.reasons == ("axis x is gone",)


def test_what_is_new() -> None:
    files = edited(
        "gantry.ini",
        ("travel per turn = 40 mm     ; 20 teeth", "gear ratio = 3:1\ntravel per turn = 40 mm ;"),
    )
    assert reasons(files, RESONANCE) == (
        "[motor x] gear ratio is 3:1; when this was measured it was not there, or not understood",
    )


def test_two_motors_that_exchange_their_currents() -> None:
    """Each has another current, though the same currents are still there."""
    motors = "[motor z left]\naxis = z\ncurrent = 1.1 A\n[motor z right]\naxis = z\ncurrent = 0.9 A\n"
    text = f"{motors}[probe]\npin = PA1\n"
    record = measured(machine_of({"m.ini": text}), REPEATABILITY, "probe")
    swapped = text.replace("1.1", "X").replace("0.9", "1.1").replace("X", "0.9")
    (one,) = stale_records(Evidence((record,)), machine_of({"m.ini": swapped}))
    assert len(one.reasons) == 2
    renamed = text.replace("z left", "z front").replace("z right", "z back")
    assert stale_records(Evidence((record,)), machine_of({"m.ini": renamed})) == ()


def test_other_words_of_a_later_program_make_nothing_stale() -> None:
    """What was not understood when the record was made, and the files are the same: nothing was changed."""
    machine = machine_of(FILES)
    record = measured(machine, RESONANCE, "axis x")
    fewer = record._replace(depends=record.depends[:-1])
    assert stale_records(Evidence((fewer,)), machine) == ()
    assert stale_records(Evidence((fewer._replace(digest="0" * 64),)), machine) != ()


ALIEN = "[motor x]\naxis = x\nfull steps = 200\nschlupf = 1.2 A\n[fan a]\npin = PA1\n"
READ = '[roles]\nschlupf = "current.run"\n'
OTHER = ALIEN.replace("PA1", "PA2")
"""The same machine after an edit that has nothing to do with the axis, so that the digest is another one."""


def test_words_that_are_read_otherwise_now_make_nothing_stale() -> None:
    """A role is taken back, or another given, in cfgaudit.toml; the setting stands in the files as it did."""
    record = measured(audit_text({"m.ini": ALIEN}, READ).machine, RESONANCE, "axis x")
    assert {one.role for one in record.depends} == {"steps.full", "current.run"}

    def now(text: str, project: str | None) -> tuple[str, ...]:
        machine = audit_text({"m.ini": text}, project).machine
        return next((one.reasons for one in stale_records(Evidence((record,)), machine)), ())

    assert now(OTHER, READ) == now(OTHER, None) == now(OTHER, READ.replace("current.run", "gear.ratio")) == ()
    gone = ("[motor x] schlupf was 1.2 A and is gone",)
    assert now(OTHER.replace("1.2 A", "1.4 A"), None) == gone
    assert now(OTHER.replace("schlupf = 1.2 A\n", ""), None) == gone


def test_what_drives_another_axis_now_is_gone_though_it_is_written_as_it_was() -> None:
    text = (
        "[motor x]\naxis = x\n[motor y]\naxis = y\n[driver one]\nmotor = motor x\nrunning current = 1.2 A\n"
    )
    record = measured(machine_of({"m.ini": text}), RESONANCE, "axis x")
    (one,) = stale_records(Evidence((record,)), machine_of({"m.ini": text.replace("= motor x", "= motor y")}))
    assert one.reasons == ("[driver one] running current was 1.2 A and is gone",)


def test_a_role_that_no_longer_counts_makes_nothing_stale() -> None:
    """A later program may leave a role out of depends.toml: what records kept of it is looked at no more."""
    record = measured(machine_of(FILES), RESONANCE, "axis x")
    more = DependedOn("motor x", "steps.micro", "x", "8", "motor x", "microsteps")
    record = record._replace(depends=(*record.depends, more), digest="")
    assert stale_records(Evidence((record,)), machine_of(FILES)) == ()


def test_an_include_that_is_missing_now() -> None:
    """Its settings are gone, and each is named."""
    files = edited("heron.ini", ("%include gantry.ini", "%include gone.ini"))
    told = reasons(files, RESONANCE)
    assert "axis x is gone" in told or "[driver x] running current was 1.2 A and is gone" in told


def anew(files: dict[str, str], kind: MeasurementKind) -> tuple[str, ...]:
    """What of a measurement of Heron is about something that an edit chose anew."""
    record = measured(machine_of(FILES), kind, KINDS[kind])
    results = tuple(Result(name, 1.0, "1") for name in ("natural frequency", *results_of_choice(kind)))
    record = record._replace(
        results=results,
        chosen=tuple(one.on for one in chosen_now(kind, KINDS[kind], machine_of(FILES))),
    )
    evidence, machine = Evidence((record,)), machine_of(files)
    assert stale_records(evidence, machine) == ()
    found = outdated_results(evidence, machine)
    assert all(set(one.results) <= set(results_of_choice(kind)) for one in found)
    return tuple(reason for one in found for reason in one.reasons)


def test_another_shaper_makes_results_of_then_and_no_record_stale() -> None:
    """The frequency still holds; what the shaper leaves and allows was computed for the one before."""
    assert results_of_choice(RESONANCE) == ("remaining vibration", "acceleration ceiling")
    assert anew(FILES, RESONANCE) == ()
    text = FILES["tuning.ini"]
    start = text.index("[shaper x]")
    line = next(one for one in text[start:].split("\n") if one.startswith("frequency"))
    number = line.partition("=")[2].split()[0]
    retuned = {**FILES, "tuning.ini": text[:start] + text[start:].replace(line, "frequency = 76.5 Hz", 1)}
    assert anew(retuned, RESONANCE) == (f"[shaper x] frequency was {number} Hz and is 76.5 Hz now",)
    same = {**FILES, "tuning.ini": text[:start] + text[start:].replace(line, f"frequency = {number}", 1)}
    assert anew(same, RESONANCE) == ()


@pytest.mark.parametrize(
    ("old", "new", "results"),
    [
        ("frequency = 61.3 Hz", "frequency = 77 Hz", ("remaining vibration",)),
        ("damping = 0.08", "damping = 0.05", ("remaining vibration",)),
        ("kind = MZV", "kind = EI", ("remaining vibration", "acceleration ceiling")),
    ],
)
def test_the_ceiling_is_about_the_kind_of_shaper_alone(old: str, new: str, results: tuple[str, ...]) -> None:
    """It is that of the best frequency: a shaper that follows the measurement leaves it as it was."""
    text = "[axis x]\n[shaper x]\nkind = MZV\nfrequency = 61.3 Hz\ndamping = 0.08\n"
    chosen = chosen_now(RESONANCE, "axis x", machine_of({"m.ini": text}))
    kept = tuple(Result(name, 1.0, "1") for name in ("natural frequency", *results_of_choice(RESONANCE)))
    record = a_record(RESONANCE, "axis x", results=kept, chosen=tuple(one.on for one in chosen))
    (found,) = outdated_results(Evidence((record,)), machine_of({"m.ini": text.replace(old, new)}))
    assert found.results == results


def test_a_shaper_of_two_axes_in_one_setting() -> None:
    """Only the half that is the measured axis's counts."""
    text = "[motor x]\naxis = x\n[motor y]\naxis = y\n[shaper]\nkind = MZV\nfrequency = 61.3, 48.5\n"
    chosen = chosen_now(RESONANCE, "axis x", machine_of({"m.ini": text}))
    assert [(one.on.role, one.on.value) for one in chosen] == [
        ("shaper.kind", "MZV"),
        ("shaper.frequency", "61.3 Hz"),
    ]
    results = (Result("remaining vibration", 0.02, "1"),)
    record = a_record(RESONANCE, "axis x", results=results, chosen=tuple(one.on for one in chosen))
    for edit, told in (("61.3, 50", []), ("77, 48.5", ["[shaper] frequency was 61.3 Hz and is 77 Hz now"])):
        machine = machine_of({"m.ini": text.replace("61.3, 48.5", edit)})
        assert [why for one in outdated_results(Evidence((record,)), machine) for why in one.reasons] == told
    gone = machine_of({"m.ini": text[: text.index("[shaper]")]})
    (one,) = outdated_results(Evidence((record,)), gone)
    assert one.reasons == ("[shaper] kind was MZV and is gone", "[shaper] frequency was 61.3 Hz and is gone")


def test_other_gains_make_margins_of_then() -> None:
    assert results_of_choice(HEATUP) == ("gain margin", "phase margin")
    files = edited("heat.ini", ("pid p         = 48.0", "pid p = 52.0"))
    assert anew(files, HEATUP) == ("[heater bed] pid p was 48.0 and is 52.0 now",)
    assert results_of_choice(BELTS) == results_of_choice(MeasurementKind.VALUE) == ()


GANTRY = """\
[axis x]
top speed = 300 mm/s
[axis y]
top speed = 300 mm/s
[motor x]
axis = x
full steps = 200
running current = 1.2 A
[motor y]
axis = y
full steps = 200
running current = 1.3 A
[gantry]
belt layout = corexy
note = "of the first year"
"""
TAUGHT = '[roles]\n"gantry:belt layout" = "kinematics"\n'


def learnt(before: str, after: str, words: str, *, keeps: bool = True) -> tuple[str, ...]:
    """Why a record of x no longer holds that was taken of one text, with another one and words since."""
    machine = machine_of({"m.ini": before})
    record = measured(machine, RESONANCE, "axis x")
    assert not any(one.role == "kinematics" or one.axis == "y" for one in record.depends)
    record = record._replace(unread=unread_settings(RESONANCE, "axis x", machine) if keeps else "")
    now = audit_text({"m.ini": after}, words).machine
    return next((one.reasons for one in stale_records(Evidence((record,)), now)), ())


def test_what_is_only_understood_since_makes_nothing_stale() -> None:
    """Who teaches that both motors move x has changed neither motor, whatever else was edited meanwhile."""
    after = GANTRY.replace("first", "second").replace("belt layout", "Belt-Layout ")
    assert learnt(GANTRY, after, TAUGHT) == ()
    y_since = learnt(GANTRY, after.replace("1.3 A", "1.4 A"), TAUGHT)
    assert y_since == (
        "[motor y] running current is 1.4 A; when this was measured it was not there, or not understood",
    )
    core = learnt(GANTRY.replace("corexy", "cartesian"), after, TAUGHT)
    assert core == (
        "[gantry] Belt-Layout is corexy; when this was measured it was not there, or not understood",
    )


def test_a_record_without_digests_says_what_may_be() -> None:
    told = learnt(GANTRY, GANTRY.replace("first", "second"), TAUGHT, keeps=False)
    assert (
        "[gantry] belt layout is corexy; when this was measured it was not there, or not understood" in told
    )


def test_digests_are_few() -> None:
    """Less than a KiB on a large machine, and nothing for what depends on no setting."""
    machine = machine_of(FILES)
    for kind, part in KINDS.items():
        assert 0 < len(unread_settings(kind, part, machine)) < 1024
    assert unread_settings(MeasurementKind.VALUE, "noise", machine) == ""


def test_bytes_that_are_no_utf_8_make_nothing_stale() -> None:
    """Latin-1 in a value that counts: the record holds it escaped."""
    text = "[motor x]\nfull steps = 200\n[driver x]\nmodel = M\udce9l 2\n"
    machine = audit_text({"m.ini": text}).machine
    record = measured(machine, RESONANCE, "axis x")
    assert any("\\udce9" in one.value for one in record.depends)
    assert stale_records(Evidence((record._replace(digest=""),)), machine) == ()


def declared(what: str, *affects: str, days: int = 1) -> Record:
    return a_record(
        MeasurementKind.HARDWARE, what, file=what, affects=affects, date=NOON + timedelta(days=days)
    )


@pytest.mark.parametrize(
    ("pattern", "part"),
    [
        ("axis.x", "axis x"),
        ("axis x", "axis x"),
        ("AXIS-X", "axis x"),
        ("axis.*", "axis y"),
        ("axis.[xy]", "axis y"),
        ("heater.chamber", "heater chamber"),
        ("belts", "Belts"),
        ("*", "belts"),
    ],
)
def test_patterns(pattern: str, part: str) -> None:
    assert affects_part(pattern, part)
    assert not affects_part(pattern, "probe") or pattern == "*"


def test_a_declared_change_affects_what_was_measured_before_it_only() -> None:
    machine = machine_of(FILES)
    old = measured(machine, RESONANCE, "axis x")._replace(file="old")
    new = old._replace(date=NOON + timedelta(days=2), file="new")
    evidence = Evidence((new, declared("new rails on X", "axis.x"), old))
    assert [(one.record.file, one.reasons) for one in stale_records(evidence, machine)] == [
        ("old", ("new rails on X, declared on 2026-11-11",))
    ]
    assert holding(evidence, machine, RESONANCE, "axis x") is new
    assert holding(Evidence(evidence.records[1:]), machine, RESONANCE, "axis x") is None


def test_hours_and_declarations_never_go_stale() -> None:
    machine = machine_of(FILES)
    hours = a_record(MeasurementKind.HOURS, "belts", file="hours")
    first = declared("new rails on X", "axis.x", days=-3)
    evidence = Evidence((declared("all is new", "*"), hours, a_record(file="value"), first))
    assert [one.record.file for one in stale_records(evidence, machine)] == ["value"]


def test_the_newest_counts() -> None:
    """An older record that suits the files again says nothing that the newest does not."""
    machine = machine_of(FILES)
    old = measured(machine, RESONANCE, "axis x")
    changed = machine_of(edited("gantry.ini", ("running current = 1.2 A", "running current = 1.35 A")))
    new = measured(changed, RESONANCE, "axis x")._replace(date=NOON + timedelta(days=1))
    evidence = Evidence((new, old))
    assert holding(evidence, changed, RESONANCE, "axis x") is new
    assert holding(evidence, machine, RESONANCE, "axis x") is None
    assert holding(evidence, machine, RESONANCE, "axis y") is None
    assert holding(evidence, machine, HEATUP, "axis x") is None


def test_a_doubtful_record_counts_as_not_measured() -> None:
    """No rule is held against it; the sure one before it says what it said, as long as that holds."""
    machine = machine_of(FILES)
    sure = measured(machine, RESONANCE, "axis x")
    doubtful = sure._replace(date=NOON + timedelta(days=1), doubts=("the sensor clips",))
    assert holding(Evidence((doubtful,)), machine, RESONANCE, "axis x") is None
    assert holding(Evidence((doubtful, sure)), machine, RESONANCE, "axis x") is sure
    assert stale_records(Evidence((doubtful, sure)), machine) == ()


def test_all_settings_are_read_once_for_all_rules(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever asks, and for however many axes: their digest takes as long as it takes to read the files."""
    machine = machine_of(edited("gantry.ini", ("running current = 1.2 A", "running current = 1.35 A")))
    asked: list[object] = []
    monkeypatch.setattr(
        staleness, "settings_digest", lambda tree: asked.append(tree) or settings_digest(tree)
    )
    axes = [measured(machine_of(FILES), RESONANCE, f"axis {letter}") for letter in "xyz"]
    evidence = Evidence(tuple(axes))
    for _ in range(2):
        assert holding(evidence, machine, RESONANCE, "axis x") is None
        assert holding(evidence, machine, RESONANCE, "axis y") is axes[1]
        assert [one.record for one in stale_records(evidence, machine)] == [axes[0]]
        assert outdated_results(evidence, machine) == ()
    assert len(asked) == 1


def test_comments_and_blank_lines_anywhere() -> None:
    files = {
        name: text.replace("\n", "\n; a word\n\n") for name, text in FILES.items() if "macros" not in name
    }
    files |= {name: text for name, text in FILES.items() if "macros" in name}
    assert stale_kinds(files) == set()
