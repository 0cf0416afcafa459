"""What is told of a resonance, at every width and as JSON; and its picture."""

from __future__ import annotations

import errno
import json
import os
from pathlib import Path
from xml.etree import ElementTree

import pytest
from evidence.simulated import ringing

from cfgaudit.evidence.recordings.recording import Recording
from cfgaudit.evidence.vibration.resonance import Configured, Resonance, analyse
from cfgaudit.evidence.vibration.shaper_choice import Candidate
from cfgaudit.report.json_form import dump
from cfgaudit.report.lines import breadth, plain
from cfgaudit.report.plots.canvas import NotDrawn
from cfgaudit.report.plots.resonance import draw_resonance
from cfgaudit.report.resonance import advice, resonance_form, resonance_lines

LONG = Path("a-folder-with-a-long-name/evidence/2026-11-10-resonance-of-the-second-gantry-axis-x.2.toml")
RUN = Recording(
    1600.0,
    {"x": ringing(48.0, 0.05, seconds=60.0) + 0.5 * ringing(92.0, 0.04, seconds=60.0, seed=1)},
    ("no unit is stated; gravity, which was recorded too, says g",),
)


def found(
    shaper: tuple[str, float, float] | None = None, acceleration: float | None = None, **asked: float
) -> Resonance:
    return analyse(Path("run.csv"), RUN, "x", Configured(shaper, acceleration), **asked)  # type: ignore[arg-type]


CASES = {
    "nothing configured": found(),
    "an acceleration": found(None, 5000.0),
    "off": found(("MZV", 61.3, 0.1), 5000.0),
    "can stay": found(("three-hump EI", 75.0, 0.05), 1000.0),
    "too fast": found(("ZV", 25.0, 0.05), 90_000.0),
    "none leaves so little": found(("three-hump EI", 61.3, 0.1), 5000.0, leaves=0.0001),
}


def told(one: Resonance, width: int = 80) -> str:
    lines = [plain(line) for line in resonance_lines(one, None, None, width)]
    return " ".join(" ".join(lines).split())


@pytest.mark.parametrize("width", [40, 57, 79, 80, 120])
@pytest.mark.parametrize("case", CASES)
def test_every_width(case: str, width: int) -> None:
    lines = [plain(line) for line in resonance_lines(CASES[case], LONG, LONG, width)]
    assert all(breadth(one) <= width for one in lines), lines
    whole = "".join("".join(lines).split())
    assert "".join(str(LONG).split()) in whole
    assert "noproofthatamachineissafe" in whole
    assert whole.startswith("Axisxringsat48")


def test_the_answer_comes_first() -> None:
    lines = [plain(line) for line in resonance_lines(CASES["off"], None, None, 80)]
    assert lines[0].startswith("Axis x rings at 48")
    assert "with a damping ratio of 0.05" in lines[0]
    text = told(CASES["off"])
    assert "It rings at 92" in text
    assert "No unit is stated; gravity, which was recorded too, says g." in text
    assert text.index("leaves") < text.index("→") < text.index("No record is written (--dry-run).")


def test_the_table_marks_two_rows() -> None:
    rows = [plain(line) for line in resonance_lines(CASES["off"], None, None, 80)]
    (recommended,) = (row for row in rows if row.endswith("recommended"))
    (configured,) = (row for row in rows if row.endswith(" configured") and "MZV" in row)
    best = CASES["off"].choice.recommended
    assert recommended.split()[: 1 + best.kind.count(" ")] == best.kind.split()[: 1 + best.kind.count(" ")]
    assert configured.split()[:3] == ["MZV", "61.3", "Hz"]


def shown(one: Candidate) -> str:
    return f"{one.kind} at {one.frequency:.1f} Hz"


def test_what_to_do() -> None:
    """The shaper to take with its reason; the one that is configured where it may stay; and no promise."""
    for case, one in CASES.items():
        text, best = advice(one), shown(one.choice.recommended)
        assert ("can stay" in text) == (case == "can stay")
        assert best in text
        assert "does not say that motors, belts and frame bear it" in told(one)
    off = CASES["off"]
    assert off.choice.configured is not None
    assert advice(off).startswith(f"Take {shown(off.choice.recommended)} with damping 0.05")
    left = f"{100 * off.choice.configured.remains:.1f} %"
    assert f"MZV at 61.3 Hz, as configured, leaves {left}." in advice(off)
    assert "or let more be rounded (--budget)" in advice(CASES["too fast"])
    assert advice(CASES["none leaves so little"]).startswith("No shaper leaves 0.01 % or less.")


@pytest.mark.parametrize(("before", "after"), [(3500.0, 3800.0), (6700.0, 9300.0)])
def test_ordinary_gains_are_called_nothing_bad(before: float, after: float) -> None:
    """Common practice, no source: MZV at these accelerations is ordinary."""
    for acceleration in (before, after):
        frequency = 62.0 if acceleration > 4000 else 40.0
        run = Recording(1600.0, {"x": ringing(frequency, 0.05, seconds=60.0)}, ())
        one = analyse(Path("run.csv"), run, "x", Configured(("MZV", frequency, 0.05), acceleration))
        assert advice(one).startswith(f"MZV at {frequency:.1f} Hz, as configured, can stay")


def test_a_more_robust_shaper_within_the_budget() -> None:
    """What an axis rings with moves over the bed and with its load: the table's numbers, in a sentence."""
    run = Recording(1600.0, {"x": ringing(77.0, 0.05, seconds=60.0)}, ())
    one = analyse(Path("run.csv"), run, "x", Configured(("MZV", 61.3, 0.05), 6500.0))
    best = one.choice.recommended
    (said,) = [words for words in told(one).split(" → ")[1].split(". ") if "take that if" in words]
    wider = next(other for other in one.choice.candidates if said.startswith(shown(other)))
    assert wider.band is not None
    assert best.band is not None
    assert wider.band[0] < 0.9 * 77.0 < best.band[0]
    assert wider.band[1] > 1.1 * 77.0
    assert wider.rounding is not None
    assert wider.rounding <= 0.1
    assert f"damps {wider.band[0]:.0f} to {wider.band[1]:.0f} Hz and rounds {wider.rounding:.3f} mm" in said
    quick = analyse(Path("run.csv"), run, "x", Configured(None, 19_000.0))
    unknown = analyse(Path("run.csv"), run, "x", Configured(None, None))
    for other in (quick, unknown):
        assert "take that if" not in told(other)
    wide = analyse(Path("run.csv"), run, "x", Configured(("three-hump EI", 80.0, 0.05), 3000.0))
    assert "can stay" in told(wide)
    assert "take that if" not in told(wide)


def test_json() -> None:
    report = json.loads(dump(resonance_form(CASES["off"], LONG)))
    assert report["schema"] == 1
    assert (report["axis"], report["record"]) == ("x", str(LONG))
    assert [one["frequency"] for one in report["modes"]] == [one.frequency for one in CASES["off"].modes]
    assert report["modes"][0]["disagreement"] == CASES["off"].modes[0].disagreement
    assert len(report["shapers"]) == 8
    assert report["configured"]["kind"] == "MZV"
    assert report["recommended"]["verdict"] == "fits"
    assert report["asked"] == {"acceleration": 5000.0, "budget": 0.1, "leaves": 0.1}
    empty = json.loads(dump(resonance_form(CASES["nothing configured"], None)))
    assert (empty["configured"], empty["record"]) == (None, None)


@pytest.mark.parametrize("case", ["off", "nothing configured"])
def test_pictures_say_it_by_themselves(tmp_path: Path, case: str) -> None:
    """Well-formed, the same bytes every time; title, units and legend as text."""
    one = CASES[case]
    for name in ("a.svg", "b.svg"):
        draw_resonance(one, tmp_path / name)
    first = (tmp_path / "a.svg").read_bytes()
    assert first == (tmp_path / "b.svg").read_bytes()
    words = " ".join(ElementTree.fromstring(first).itertext())
    for needed in (
        "Axis x rings at 48",
        "frequency in Hz",
        "(m/s²)/√Hz",
        "left of a vibration",
        "measured, without a shaper",
        f"recommended: {shown(one.choice.recommended)}, leaves ",
        "10 %, which may be left",
    ):
        assert needed in words
    assert ("configured: MZV at 61.3 Hz" in words) == (case == "off")


def test_a_picture_of_points(tmp_path: Path) -> None:
    draw_resonance(CASES["off"], tmp_path / "a.PNG")
    assert (tmp_path / "a.PNG").read_bytes().startswith(b"\x89PNG")


def test_a_single_mode_stands_in_the_title_alone(tmp_path: Path) -> None:
    run = Recording(1600.0, {"x": ringing(77.0, 0.05, seconds=60.0)}, ())
    for one, times in ((analyse(Path("run.csv"), run, "x", Configured()), 1), (CASES["off"], 3)):
        draw_resonance(one, tmp_path / "a.svg")
        words = " ".join(ElementTree.fromstring((tmp_path / "a.svg").read_bytes()).itertext())
        assert words.count("damping") == times, words


def test_a_full_disk_leaves_the_picture_that_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Simulated: syncing to the disk fails as a full one does."""

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    path = tmp_path / "a.svg"
    path.write_bytes(b"an older picture")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotDrawn, match=r"a\.svg cannot be written \(No space left on device\): make space"):
        draw_resonance(CASES["off"], path)
    assert [one.read_bytes() for one in tmp_path.iterdir()] == [b"an older picture"]


def test_a_linked_picture_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "there.svg").write_bytes(b"")
    (tmp_path / "a.svg").symlink_to("there.svg")
    draw_resonance(CASES["off"], tmp_path / "a.svg")
    assert (tmp_path / "a.svg").is_symlink()
    assert b"<svg" in (tmp_path / "there.svg").read_bytes()


def test_a_picture_that_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "a.svg").mkdir()
    for path in (tmp_path / "none" / "a.svg", tmp_path / "a.svg"):
        with pytest.raises(NotDrawn, match="cannot be written"):
            draw_resonance(CASES["off"], path)
