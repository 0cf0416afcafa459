"""What a command loads: libraries only where they are needed, for importing them is most of starting up."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

import pytest

from cfgaudit.data import data_folder
from cli.program import environment

GANNET = data_folder("samples") / "gannet"
LISTING = """
import atexit, json, os, sys
before = set(sys.modules)
def list_modules():
    with os.fdopen(os.dup(2), "w") as file:
        json.dump(sorted(set(sys.modules) - before), file)
atexit.register(list_modules)
from cfgaudit.cli.main import main
sys.argv = ["cfgaudit", *sys.argv[1:]]
main()
"""
SLOW = ("rich", "git", "gitdb", "pydantic", "pydantic_core", "pygments", "markdown_it", "asyncio")


def loaded(arguments: Iterable[str], folder: Path) -> set[str]:
    """The modules that a run whose output is a pipe has loaded at its end."""
    done = subprocess.run(
        [sys.executable, "-c", LISTING, *arguments],
        cwd=folder,
        env=environment({"XDG_CACHE_HOME": str(folder)}),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr
    return set(json.loads(done.stderr.splitlines()[-1]))


def packages(modules: Iterable[str]) -> set[str]:
    return {name.partition(".")[0] for name in modules}


def test_the_version_needs_nothing(here: Path) -> None:
    modules = loaded(["--version"], here)
    assert {name for name in modules if name.startswith("cfgaudit")} == {
        "cfgaudit",
        "cfgaudit.cli",
        "cfgaudit.cli.main",
    }
    assert packages(modules).isdisjoint({"typer", "lark", *SLOW})


@pytest.mark.parametrize("command", ["check", "tree", "roles", "facts", "pins"])
def test_reading_into_a_pipe(here: Path, command: str) -> None:
    modules = loaded([command, str(GANNET)], here)
    assert "cfgaudit.tree.resolve" in modules
    assert packages(modules).isdisjoint(SLOW), packages(modules) & set(SLOW)
    other = {f"cfgaudit.cli.{name}" for name in ("check", "tree", "roles", "facts", "pins", "init", "demo")}
    assert modules & other == {f"cfgaudit.cli.{command}"}
    assert not any(name.startswith("cfgaudit.history") for name in modules)


@pytest.mark.parametrize("command", ["tree", "roles", "facts", "pins"])
def test_rules_are_loaded_by_check_alone(here: Path, command: str) -> None:
    modules = loaded([command, str(GANNET)], here)
    assert "cfgaudit.checks.ruleset" not in modules
    assert "cfgaudit.checks.all" not in modules


def test_reports_of_other_commands_are_not_loaded(here: Path) -> None:
    modules = loaded(["check", str(GANNET)], here)
    others = {f"cfgaudit.report.{name}" for name in ("facts", "pins", "roles", "rules", "tree", "where")}
    assert modules.isdisjoint(others)


def test_evidence_is_read_without_the_libraries_that_measure(here: Path) -> None:
    (here / "evidence").mkdir()
    (here / "machine.ini").write_text("[heater bed]\ndrive = PD12\nthermometer = PC0\n", encoding="utf-8")
    results = "".join(
        f'[[result]]\nname = "{name}"\nvalue = 9\n' for name in ("gain", "time constant", "top")
    )
    (here / "evidence" / "bed.toml").write_text(
        'form = 1\nkind = "heatup"\npart = "heater bed"\ndate = 2026-11-10T08:00:00Z\n' + results,
        encoding="utf-8",
    )
    modules = loaded(["check"], here)
    assert "cfgaudit.evidence.records.staleness" in modules
    assert packages(modules).isdisjoint({"numpy", "scipy", "matplotlib", *SLOW})
    assert "tomllib" not in loaded(["check"], here), "the tables of a record are kept"


@pytest.mark.parametrize(
    ("line", "others"),
    [
        ("value noise 41 dB", ("hours", "hardware", "resonance", "belts", "repeatability", "heatup")),
        ("hours belts 3", ("value", "hardware", "resonance", "belts", "repeatability", "heatup")),
        (
            "hardware rails --affects axis.x",
            ("value", "hours", "resonance", "belts", "repeatability", "heatup"),
        ),
    ],
)
def test_one_measurement_loads_no_other(here: Path, line: str, others: tuple[str, ...]) -> None:
    (here / "machine.ini").write_text("[axis x]\ntop speed = 300\n", encoding="utf-8")
    modules = loaded(["measure", *line.split()], here)
    assert modules.isdisjoint({f"cfgaudit.cli.measure_{name}" for name in others})
    assert packages(modules).isdisjoint({"numpy", "scipy", "matplotlib"})


@pytest.mark.parametrize("arguments", [["measure", "--help"], ["--help"]])
def test_help_measures_nothing(here: Path, arguments: list[str]) -> None:
    modules = loaded(arguments, here)
    assert "cfgaudit.cli.measure_resonance" in modules
    assert packages(modules).isdisjoint({"numpy", "scipy", "matplotlib"})
