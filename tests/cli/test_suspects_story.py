"""The demo's upgrade: for each symptom a planted fault that explains it comes first.

What causes what is common practice, no source; that these faults are there stands in the upgrade's own list.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cfgaudit.history.blame.symptoms import symptom_names
from cli.conftest import Runs
from cli.test_gate_story import demo

__all__ = ["demo"]

FIRST = {
    "ringing": "axis y:top acceleration",
    "layer-shift": "axis y:top acceleration",
    "skipped-steps": "axis y:top acceleration",
    "noise": "axis y:top acceleration",
    "thin-walls": "motor extruder:travel per turn",
    "first-layer": "probe:offset x",
    "thermal-fault": "guard chamber",
    "homing-fault": "axis x:homes to",
    "no-motion": "axis x:homes to",
    "comms-lost": "board filter",
}


def test_every_symptom_is_told_of() -> None:
    assert FIRST.keys() == set(symptom_names())


def test_the_fault_that_explains_it_comes_first(run: Runs, demo: Path) -> None:
    found = {}
    for symptom in FIRST:
        form = json.loads(run("suspects", symptom, "--format", "json").out)
        scores = [one["score"] for one in form["suspects"]]
        assert scores == sorted(scores, reverse=True)
        first = form["suspects"][0]
        found[symptom] = f"{first['section']}:{first['setting']}".rstrip(":")
        assert first["uncommitted"], "it is the unfinished upgrade"
        assert form["others"] > len(scores)
    assert found == FIRST


@pytest.mark.parametrize("columns", [40, 80, 120])
def test_the_report_fits_any_window(run: Runs, demo: Path, columns: int) -> None:
    for words in (("ringing", "--bisect"), ("thermal-fault",)):
        ran = run("suspects", *words, columns=columns)
        assert (ran.status, ran.err) == (0, "")
        assert max(map(len, ran.out.splitlines())) <= columns
