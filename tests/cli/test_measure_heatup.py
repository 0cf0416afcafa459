"""``measure heatup``: from a recording to words, a record, JSON and a picture; and what is refused."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import numpy as np
import pytest
from evidence.simulated_heaters import Simulated, heat_up, write_heat_up

from cfgaudit.evidence.heating.regulator import Plant
from cli.conftest import Runs
from cli.measuring import MACHINE, machine, refused

BED = Plant(190.0, 1000.0, 26.0)


@pytest.fixture(autouse=True)
def heated_bed(here: Path) -> None:
    machine(here)
    write_heat_up(here / "bed.csv", heat_up(BED, 700.0, ambient=21.0))


def told(run: Runs, *arguments: str) -> str:
    ran = run("measure", "heatup", "bed.csv", "--heater", "bed", *arguments)
    assert ran.status == 0, ran
    return " ".join(ran.out.split())


def kept(here: Path) -> dict[str, float]:
    (record,) = (here / "evidence").iterdir()
    found = tomllib.loads(record.read_text(encoding="utf-8"))
    assert (found["kind"], found["part"]) == ("heatup", "heater bed")
    assert [one["name"] for one in found["raw"]] == ["bed.csv"]
    return {one["name"]: one["value"] for one in found["result"]}


def test_a_heater_and_its_guard(run: Runs, here: Path) -> None:
    said = told(run)
    assert said.startswith("Heater bed and its guard suit one another")
    assert "Guard bed wants 2 K within 60 s." in said
    assert "it does not trip on a healthy heater" in said
    assert "Should the sensor fall off at 110 °C, its upper limit" in said
    assert "60 K above that count as bearable (common practice, no source)" in said
    assert "if they are parallel gains and full power is 255, which is assumed: no file tells" in said
    assert "full power being 255 and τ_c = θ = 2" in said, "26 s, as simulated, or nearly"
    assert "stand beside the machine" in said
    assert "no proof that a machine is safe" in said
    results = kept(here)
    assert results["gain"] == pytest.approx(190, rel=0.03)
    assert results["time constant"] == pytest.approx(1000, rel=0.04)
    assert results["dead time"] == pytest.approx(26, rel=0.1)
    assert results["rise at top"] == pytest.approx((190 - (results["top"] - 21)) / 1000, rel=0.03)
    assert {"ambient", "gain margin", "phase margin", "assumed full output"} <= results.keys()
    assert "full output" not in results


def test_full_output_is_said(run: Runs, here: Path) -> None:
    said = told(run, "--full-output", "100")
    assert "whose full power is 100, as you say" in said
    assert "if full is 255" in said
    assert kept(here)["full output"] == 100


def test_a_swinging_loop_is_in_the_headline(run: Runs, here: Path) -> None:
    """Gains for 255 where the firmware counts to 40: dividing them by as much as is said calms the loop."""
    said = told(run, "--dry-run", "--full-output", "40")
    assert said.startswith("Heater bed and its guard suit one another, but its loop is unstable → ")
    found = re.search(r"Divide P, I and D by (\S+) \(gain margin [^)]+\), or let the firmware tune", said)
    assert found is not None, said
    amount = float(found[1])
    text = MACHINE
    for written, value in (("48.0", 48.0), ("0.9", 0.9), ("610", 610.0)):
        text = text.replace(f"= {written}", f"= {value / amount:.6g}")
    machine(here, text)
    said = told(run, "--dry-run", "--full-output", "40")
    assert said.startswith("Heater bed and its guard suit one another → ")
    assert re.search("the loop is (comfortable|lively)", said)
    machine(here, MACHINE.replace("48.0", "24").replace("pid i = 0.9", "pid i = 90").replace("= 610", "= 20"))
    said = told(run, "--dry-run", "--full-output", "255")
    assert "one another, but its loop is unstable, unless I and D are times →" in said
    assert "Divide" not in said


def test_a_loop_is_not_in_the_headline_where_nobody_said_what_full_power_is(run: Runs, here: Path) -> None:
    machine(here, MACHINE.replace("48.0", "4800"))
    assert told(run, "--dry-run").startswith("Heater bed and its guard suit one another → ")


def test_one_wrong_row(run: Runs, here: Path) -> None:
    """A loose wire: the run is refused, for it would bend the whole model."""
    lines = (here / "bed.csv").read_text(encoding="utf-8").splitlines()
    time, _, duty = lines[298].split(",")
    lines[298] = f"{time},250,{duty}"
    (here / "glitch.csv").write_text("\n".join(lines), encoding="utf-8")
    said = refused(run, here, "heatup", "glitch.csv", "--heater", "bed")
    assert re.search(r"glitch\.csv:299: 250 °C, \d+ K from its neighbours: take that row out", said)


def test_a_run_that_one_spot_bends_loosens_no_guard(run: Runs, here: Path) -> None:
    """Six rows in a row are 25 K behind, as where a sensor slips: too many to be odd, yet no heater's."""
    machine(here, MACHINE.replace("within = 60 s", "within = 20 s"))
    assert "it trips on a healthy heater. Give it more time" in told(run, "--dry-run")
    lines = (here / "bed.csv").read_text(encoding="utf-8").splitlines()
    for at in range(300, 306):
        time, warm, duty = lines[at].split(",")
        lines[at] = f"{time},{float(warm) - 25.0},{duty}"
    (here / "bed.csv").write_text("\n".join(lines), encoding="utf-8")
    said = told(run)
    assert said.startswith("Heater bed was measured, but too roughly to change its guard by that →")
    assert "seems to trip on a healthy heater. This run is no reason to change it" in said
    assert "more time" not in said
    assert "doubts = [" in next((here / "evidence").iterdir()).read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("header", "scale", "offset", "per_second"),
    [("time,temp,duty", 1.0, 273.15, 1.0), ("time,temp,duty", 1.8, 32.0, 1.0),
     ("time,temp,duty", 1.0, 0.0, 60.0), ("time,temp,duty", 1.0, 0.0, 0.001)],
)  # fmt: skip
def test_other_units_need_a_header(
    run: Runs, here: Path, header: str, scale: float, offset: float, per_second: float
) -> None:
    time, warm, duty = heat_up(BED, 700.0, ambient=21.0)
    other = Simulated(time / per_second, warm * scale + offset, duty)
    write_heat_up(here / "other.csv", other, header)
    said = refused(run, here, "heatup", "other.csv", "--heater", "bed")
    assert "in the header, such as" in said
    units = {1.0: "K" if offset else "°C", 1.8: "°F"}[scale], {1.0: "s", 60.0: "min", 0.001: "ms"}[per_second]
    write_heat_up(here / "bed.csv", other, f"time ({units[1]}),temp ({units[0]}),duty")
    told(run)
    results = kept(here)
    assert results["gain"] == pytest.approx(190, rel=0.05)
    assert results["time constant"] == pytest.approx(1000, rel=0.06)
    assert results["ambient"] == pytest.approx(21, abs=1.0)


def test_a_guard_that_trips(run: Runs, here: Path) -> None:
    machine(here, MACHINE.replace("within = 60 s", "within = 30 s"))
    said = told(run, "--dry-run")
    assert said.startswith("Heater bed is healthy, and its guard would switch it off")
    assert "it trips on a healthy heater" in said


def test_a_guard_that_trips_and_a_loop_that_swings(run: Runs, here: Path) -> None:
    """Two bad things are joined by and: the second one is no exception to the first."""
    machine(here, MACHINE.replace("within = 60 s", "within = 30 s"))
    said = told(run, "--dry-run", "--full-output", "40")
    assert said.startswith(
        "Heater bed is healthy, and its guard would switch it off, and its loop is unstable"
    )


def test_a_doubtful_run_and_a_loop_that_swings(run: Runs, here: Path) -> None:
    """Six rows in a row are 25 K behind: a rough fit says one but."""
    lines = (here / "bed.csv").read_text(encoding="utf-8").splitlines()
    for at in range(300, 306):
        time, warm, duty = lines[at].split(",")
        lines[at] = f"{time},{float(warm) - 25.0},{duty}"
    (here / "bed.csv").write_text("\n".join(lines), encoding="utf-8")
    said = told(run, "--dry-run", "--full-output", "40")
    assert said.startswith(
        "Heater bed was measured, but too roughly to change its guard by that, and its loop seems unstable"
    )


def test_a_gap_is_a_doubt(run: Runs, here: Path) -> None:
    """121 s are missing of a bed with a dead time of 26 s; a gap of 21 s is told below only."""
    lines = (here / "bed.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (here / "bed.csv").write_text("".join(lines[:300] + lines[320:]), encoding="utf-8")
    said = told(run, "--dry-run")
    assert said.startswith("Heater bed and its guard suit one another →")
    assert "Samples are missing, for 21 s at the longest." in said
    (here / "bed.csv").write_text("".join(lines[:300] + lines[420:]), encoding="utf-8")
    said = told(run)
    assert said.startswith("Heater bed was measured, but with a gap of 121 s: too long to judge its guard →")
    record = next((here / "evidence").iterdir()).read_text(encoding="utf-8")
    assert "samples are missing for 121 s, longer than the dead time" in record


def test_a_guard_with_hardly_anything_to_spare(run: Runs, here: Path) -> None:
    """At the top less 6 K, 108 °C, 190 − 87 = 103 K are left: 103 (1 − e^(−(t − 26) ÷ 1000)) is 2.1 K for
    t = 46.5 s."""
    machine(here, MACHINE.replace("within = 60 s", "within = 47 s"))
    said = told(run, "--dry-run")
    assert re.match(
        r"Heater bed and its guard barely suit one another: it gains 2\.[1-3] K where 2 K are wanted →", said
    )
    assert re.search(r"does not trip on a healthy heater, with \d+ % to spare: a draught", said)


def test_a_guard_that_would_trip_near_the_upper_limit(run: Runs, here: Path) -> None:
    """At 174 °C, the limit less 6 K, 37 K are left, of which 34 s make 1.24 K; where it was measured, 3.4."""
    machine(here, MACHINE.replace("highest = 110 °C", "highest = 180 °C"))
    said = told(run, "--dry-run")
    assert said.startswith(
        "Heater bed and its guard suit one another as far as was measured, not up to its upper limit →"
    )
    found = re.search(r"At 174 °C, .* it gains (\d\.\d) K by the model: there it would trip", said)
    assert found is not None
    assert float(found[1]) == pytest.approx(37 * (1 - np.exp(-34 / 1000)), rel=0.1)


def test_a_guard_that_sleeps(run: Runs, here: Path) -> None:
    machine(here, MACHINE.replace("within = 60 s", "within = 900 s"))
    said = told(run, "--dry-run")
    assert said.startswith("Heater bed gets far too hot before its guard looks")
    assert "Let it look sooner." in said


def test_the_builders_own_limit(run: Runs, here: Path) -> None:
    (here / "cfgaudit.toml").write_text('[limits]\n"guard-against-heatup.bed" = 3\n')
    assert "3 K above that count as bearable" in told(run, "--dry-run")


def test_a_machine_without_guard_and_gains(run: Runs, here: Path) -> None:
    machine(here, "[heater bed]\ndrive = PD12\nthermometer = PC0\n")
    said = told(run)
    assert said.startswith("Heater bed was measured, and no guard with a clear time watches it")
    assert "no P and I as bare numbers in its files" in said
    assert "gain margin" not in kept(here)


def test_a_guard_of_the_heaters_own_section(run: Runs, here: Path) -> None:
    own = MACHINE.partition("[guard bed]")[0] + "guard rise = 2 K\nguard time = 60 s\n"
    machine(here, own)
    said = told(run, "--dry-run")
    assert "Its guard wants 2 K within 60 s." in said
    assert "before its guard looks" in said


def test_gains_that_may_be_times(run: Runs, here: Path) -> None:
    """P 24, T_i 90 s, T_d 20 s: no gains of a parallel regulator, and fine ones of an ideal one."""
    text = MACHINE.replace("48.0", "24").replace("pid i = 0.9", "pid i = 90").replace("= 610", "= 20")
    machine(here, text)
    said = told(run, "--dry-run", "--full-output", "255")
    assert "if ideal were I and D times in s: gain margin" in said
    machine(here, text.replace("= 90", "= 90 s"))
    assert "no P and I as bare numbers in its files" in told(run, "--dry-run", "--full-output", "255")
    machine(here)
    assert "if ideal" not in told(run, "--dry-run")


def test_a_rough_fit_is_kept_as_a_doubt(run: Runs, here: Path) -> None:
    """A fan from half of the run on: no rule is held against what no plain heater explains."""
    machine(here, MACHINE.replace("within = 60 s", "within = 1000 s"))
    (here / "cfgaudit.toml").write_text('[limits]\n"guard-against-heatup.bed" = 10\n')
    warm, rows = 22.0, []
    for step in range(40_000):
        if step % 100 == 0:
            rows.append(f"{step // 100},{warm:.3f},1")
        warm += 0.01 * (0.9 - (warm - 22.0) / (150.0 if step < 20_000 else 107.0))
    (here / "bed.csv").write_text("\n".join(rows))
    assert "explains this run roughly only" in told(run)
    (record,) = (here / "evidence").iterdir()
    text = record.read_text(encoding="utf-8")
    (doubt,) = tomllib.loads(text)["doubts"]
    assert "a heater of first order is off by" in doubt
    form = run("measure", "heatup", "bed.csv", "--heater", "bed", "--dry-run", "--format", "json").out
    assert json.loads(form)["doubts"] == [doubt]
    assert "guard-against-heatup" not in run("check").out
    record.write_text(re.sub(r"doubts = \[.*?\]\n", "", text, flags=re.DOTALL), encoding="utf-8")
    assert "guard-against-heatup" in run("check").out, "else the rule would have spoken"


def test_a_dead_time_is_known_to_a_sample(run: Runs, here: Path) -> None:
    write_heat_up(here / "bed.csv", heat_up(BED, 700.0, ambient=21.0, step=5.0))
    assert "known to one sample of 5 s at best" in told(run, "--dry-run")
    write_heat_up(here / "bed.csv", heat_up(BED, 700.0, ambient=21.0))
    assert "at best" not in told(run, "--dry-run")


def test_json_and_picture(run: Runs, here: Path) -> None:
    arguments = ("measure", "heatup", "bed.csv", "--heater", "heater bed", "--dry-run", "--plot", "p.svg")
    report = json.loads(run(*arguments, "--format", "json").out)
    assert (report["schema"], report["heater"], report["limit"], report["record"]) == (
        1,
        "heater bed",
        110,
        None,
    )
    assert report["guards"][0]["trips"] is False
    assert report["regulator"]["assumed"] is True
    assert [one["full_output"] for one in report["regulator"]["others"]] == [1, 100]
    first = (here / "p.svg").read_bytes()
    run(*arguments)
    assert (here / "p.svg").read_bytes() == first
    for words in ("time in min", "temperature in °C", "upper limit, 110 °C", "measured", "duty in %"):
        assert words.encode() in first


def test_a_duty_limit_counts(run: Runs, here: Path) -> None:
    machine(here, MACHINE.replace("lowest = 5 °C", "lowest = 5 °C\npower at most = 50 %"))
    assert "recording's duty goes to 100 %, the configured limit is 50 %" in told(run, "--dry-run")
    write_heat_up(here / "bed.csv", heat_up(BED, 900.0, ambient=21.0, duty=0.5))
    assert "with 50 % power, the most allowed, at" in told(run, "--dry-run")


def test_what_is_refused(run: Runs, here: Path) -> None:
    bed = ("heatup", "bed.csv", "--heater")
    assert "no heater lid: it has heater bed" in refused(run, here, *bed, "lid")
    assert "no heater without a name" in refused(run, here, *bed, "")
    for output in ("0", "-1", "nan", "inf"):
        assert "--full-output" in refused(run, here, *bed, "bed", "--full-output", output)
    assert "none.csv is no file" in refused(run, here, "heatup", "none.csv", "--heater", "bed")
    assert "--columns needs three" in refused(run, here, *bed, "bed", "--columns", "1,2")
    text = (here / "bed.csv").read_text(encoding="utf-8").splitlines()
    (here / "back.csv").write_text("\n".join([*text[:300], *text[100:]]), encoding="utf-8")
    assert "goes back: measure again" in refused(run, here, "heatup", "back.csv", "--heater", "bed")
    (here / "cold.csv").write_text("\n".join(text[:30]), encoding="utf-8")
    assert "rises by less than" in refused(run, here, "heatup", "cold.csv", "--heater", "bed")
