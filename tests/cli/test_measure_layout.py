"""The line about how a machine is driven, below what was measured."""

from __future__ import annotations

import json
from pathlib import Path

from evidence.simulated import ringing, write_run

from cli.conftest import Runs
from cli.program import write

MACHINE = "[axis x]\ntop speed = 300 mm/s\n[axis y]\ntop speed = 300 mm/s\n[gantry]\nbelt layout = corexy\n"
LINE = 'write "gantry:belt layout" = "kinematics" under [roles] in cfgaudit.toml'


def test_who_measures_is_told_how_to_say_it(run: Runs, here: Path) -> None:
    write(here, {"main.ini": MACHINE})
    for name, frequency, seed in (("a", 80.0, 1), ("b", 76.0, 2)):
        write_run(here / f"{name}.csv", {"x": ringing(frequency, seed=seed, sweep=True)})
    for words in ("resonance a.csv --axis x", "belts a.csv b.csv"):
        command = ("measure", *words.split(), "--dry-run")
        assert " ".join(run(*command).out.split()).count(LINE) == 1
        json.loads(run(*command, "--format", "json").out)
    write(here, {"cfgaudit.toml": '[roles]\n"gantry:belt layout" = "kinematics"\n'})
    assert "kinematics" not in run("measure", "belts", "a.csv", "b.csv", "--dry-run").out
