"""The demo's planted acceleration stops the gate; putting that one setting back makes the gate pass on it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from cli.conftest import Runs
from cli.program import contents

Git = Callable[..., str]
ADDRESS = "axis y:top acceleration"
MEANT, PLANTED = "4500 mm/s²", "50000 mm/s²"


@pytest.fixture
def demo(run: Runs, here: Path, git: Git, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The demo's repository, as the current folder."""
    (here / ".git").rename(here.parent / "unused")
    ran = run("demo", "demo")
    assert ran.status == 0, ran
    monkeypatch.chdir(here / "demo")
    return here / "demo"


def blocking(run: Runs) -> tuple[int, dict[str, tuple[str, str]]]:
    """The gate's status, and the changes that block: address, before and after."""
    ran = run("gate", "--format", "json")
    changes = json.loads(ran.out)["changes"]
    return ran.status, {
        f"{one['section']}:{one['setting']}": (one["before"], one["after"]) for one in changes
    }


def test_the_upgrade_is_stopped_at_it_until_it_is_put_back(run: Runs, demo: Path) -> None:
    status, before = blocking(run)
    assert status == 1
    assert before[ADDRESS] == (MEANT, PLANTED)
    assert run("restore", ADDRESS).status in (0, 1)
    status, after = blocking(run)
    assert after == {address: values for address, values in before.items() if address != ADDRESS}
    assert status == 1, "the upgrade holds other faults"


def test_of_this_fault_alone_nothing_is_left(run: Runs, demo: Path) -> None:
    """The mark's own files, with this one value changed."""
    import subprocess

    mark = json.loads(run("gate", "--format", "json").out)["from"]["label"]
    for words in (["checkout", "--quiet", "--force", mark], ["clean", "--quiet", "--force", "-d"]):
        subprocess.run(["git", *words], cwd=demo, check=True, capture_output=True)
    marked = {path: data for path, data in contents(demo).items() if not path.startswith(".git")}
    assert run("gate").status == 0
    (file,) = (path for path in demo.rglob("*.ini") if "[axis y]" in path.read_text("utf-8"))
    head, section, rest = file.read_text("utf-8").partition("[axis y]")
    assert rest.partition("\n[")[0].count(MEANT) == 1
    file.write_text(head + section + rest.replace(MEANT, PLANTED, 1), "utf-8")
    assert blocking(run) == (1, {ADDRESS: (MEANT, PLANTED)})
    assert run("restore", ADDRESS).status == 0
    assert run("gate").status == 0
    now = {path: data for path, data in contents(demo).items() if not path.startswith(".git")}
    assert now == marked, "not a byte is another"
