"""The README shows what really comes out: every block of it runs."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from cfgaudit.data import data_folder
from cfgaudit.project import read_project
from cfgaudit.source import Memory

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```console\n(.*?)```", README, flags=re.DOTALL)
COMMAND = re.compile(r"^\$ (.*)\n", re.MULTILINE)
RUN = "from cfgaudit.cli.main import main; main()"
OMITTED = "…"
SIMULATE = data_folder("samples") / "heron" / "measuring" / "simulate.py"


WRITING = ("restore",)
"""Commands of the tour that change the demo, which all that follow then find changed."""


def run(arguments: list[str], folder: Path) -> str:
    env = {**os.environ, "COLUMNS": "80", "NO_COLOR": "1", "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", RUN, *arguments]
    done = subprocess.run(command, cwd=folder, env=env, capture_output=True, encoding="utf-8", check=False)
    return done.stdout + done.stderr


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("readme")
    run(["demo", "heron-demo"], folder)
    return folder / "heron-demo"


def commands(block: str) -> list[tuple[str, str]]:
    """Each command of a block with what is shown of its output."""
    nothing, *parts = COMMAND.split(block)
    assert nothing == ""
    return list(zip(parts[::2], parts[1::2], strict=True))


def test_the_tour_is_there() -> None:
    assert len(BLOCKS) >= 6


@pytest.mark.parametrize(
    "number", range(len(BLOCKS)), ids=["; ".join(COMMAND.findall(block)) for block in BLOCKS]
)
def test_the_readme_shows_real_output(number: int, demo: Path, tmp_path: Path) -> None:
    """Who types one block after the other sees what is shown.

    Every stretch between two … stands in the output as it is, in order.
    """
    block = BLOCKS[number]
    folder = shutil.copytree(demo, tmp_path / demo.name)
    for command in (command for earlier in BLOCKS[:number] for command, _ in commands(earlier)):
        if shlex.split(command)[1] in WRITING:
            run(shlex.split(command)[1:], folder)
    if "raw/" in block:  # the README says how they are made
        subprocess.run([sys.executable, SIMULATE, "raw"], cwd=folder, check=True)
    for command, shown in commands(block):
        program, *arguments = shlex.split(command)
        assert program == "cfgaudit"
        output = run(arguments, folder)
        at = 0
        for stretch in re.split(rf"^{OMITTED}$", shown, flags=re.MULTILINE):
            found = output.find(stretch.strip("\n"), at)
            assert found >= 0, stretch
            at = found + len(stretch.strip("\n"))


def test_the_example_of_a_project_file_is_valid() -> None:
    (text,) = re.findall(r"```toml\n(.*?)```", README, flags=re.DOTALL)
    words = b"[words]\n"
    project = read_project(Memory({"cfgaudit.toml": text.encode(), "words.toml": words}))
    assert project.main == "mill.ini"
    assert [rule.name for rule in project.house] == ["workshop-bed"]
