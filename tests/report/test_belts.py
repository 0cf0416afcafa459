"""What is told of two belts, at every width and as JSON; and their picture."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from evidence.simulated import ringing

from cfgaudit.evidence.recordings.recording import Recording
from cfgaudit.evidence.vibration.belts import Belts, analyse_belts
from cfgaudit.report.belts import belts_form, belts_lines, tension_sentence
from cfgaudit.report.json_form import dump
from cfgaudit.report.lines import breadth, plain
from cfgaudit.report.plots.belts import draw_belts
from cfgaudit.report.plots.canvas import NotDrawn

LONG = Path("a-folder-with-a-long-name/evidence/2026-11-10-belts.2.toml")
LOW, HIGH = ringing(80.0, seconds=20.0), ringing(110.0, seconds=20.0, seed=1)


def found(left: object, right: object) -> Belts:
    runs = [Recording(1600.0, {"x": one}, ()) for one in (left, right)]
    return analyse_belts(("a.csv", "b.csv"), runs)  # type: ignore[arg-type]


CASES = {
    "alike": found(LOW, ringing(80.0, seconds=20.0, seed=2)),
    "looser": found(LOW, ringing(74.0, seconds=20.0, seed=2)),
    "crossed": found(LOW + 0.6 * HIGH, 0.6 * LOW + HIGH),
}


@pytest.mark.parametrize("width", [40, 57, 79, 80, 120])
@pytest.mark.parametrize("case", CASES)
def test_every_width(case: str, width: int) -> None:
    lines = [plain(line) for line in belts_lines(CASES[case], LONG, LONG, width)]
    assert all(breadth(one) <= width for one in lines), lines
    whole = "".join("".join(lines).split())
    assert "".join(str(LONG).split()) in whole
    assert "noproofthatamachineissafe" in whole


@pytest.mark.parametrize(
    ("case", "told", "looser"),
    [
        ("alike", "no difference in tension is shown", None),
        ("looser", "Belt B is looser: its tension is about 14 % below that of belt A", "B"),  # 1 - (74/80)²
        ("crossed", "do not tell which belt is looser", None),
    ],
)
def test_which_one_is_looser(case: str, told: str, looser: str | None) -> None:
    assert told in tension_sentence(CASES[case])
    form = json.loads(dump(belts_form(CASES[case], None)))
    assert form["looser"] == looser
    assert (form["tension_ratio"] is None) == (case == "crossed")
    whole = " ".join(plain(line) for line in belts_lines(CASES[case], None, None, 80))
    assert ("tension ratio" in whole) == (case != "crossed")


def test_a_picture_that_cannot_be_written(tmp_path: Path) -> None:
    draw_belts(CASES["crossed"], tmp_path / "p.svg")
    assert "tension A" not in (tmp_path / "p.svg").read_text(encoding="utf-8")
    with pytest.raises(NotDrawn, match="cannot be written"):
        draw_belts(CASES["alike"], tmp_path / "none" / "p.svg")


def test_a_belt_that_shakes_less_is_as_alike_and_that_is_said() -> None:
    """Likeness is a correlation: it knows no factor."""
    weak = found(LOW, 0.3 * LOW)
    assert weak.comparison.likeness == pytest.approx(1.0)
    whole = " ".join(" ".join(plain(line) for line in belts_lines(weak, None, None, 80)).split())
    assert "the shapes of both spectra alone, not how strongly the belts shake" in whole
