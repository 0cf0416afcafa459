"""The script that continuous integration runs does what the README tells users to do."""

from __future__ import annotations

import os
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SCRIPT = ROOT / ".ci" / "run"

pytestmark = pytest.mark.skipif(not SCRIPT.is_file(), reason="the script is not part of what was unpacked")


def readme_command() -> str:
    """The one command of the README that sets up and runs the tests."""
    readme = (ROOT / "README.md").read_text("utf-8")
    commands = re.findall(r"^```sh\n(.*?)^```$", readme, flags=re.MULTILINE | re.DOTALL)
    (command,) = [one.strip() for one in commands if "pytest" in one]
    return command


def test_the_readmes_command_is_one_line_and_runs_all_tests() -> None:
    command = readme_command()
    assert "\n" not in command
    assert re.search(r"pip install .*'\.\[test\]'", command)
    assert re.search(r"-m pytest( -n \d)?$", command), "no test is left out"


def test_the_script_runs_that_command() -> None:
    (line,) = re.findall(r"^command=.*$", SCRIPT.read_text("utf-8"), flags=re.MULTILINE)
    script = f'{line}\nprintf "%s" "$command"'
    done = subprocess.run(["bash", "-euc", script], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout == readme_command()
    assert re.search(r'^eval "\$command"$', SCRIPT.read_text("utf-8"), flags=re.MULTILINE)


def test_the_script_is_valid_and_may_be_run() -> None:
    assert os.access(SCRIPT, os.X_OK)
    subprocess.run(["bash", "-n", SCRIPT], check=True)
    assert SCRIPT.read_text("utf-8").startswith("#!/usr/bin/env bash\n")


@pytest.mark.parametrize(
    "needed", ["-m build --wheel", "cfgaudit demo", 'ruff" check', "format --check", 'mypy"']
)
def test_the_script_does_all(needed: str) -> None:
    assert needed in SCRIPT.read_text("utf-8")
