"""``init`` writes one valid file, never over another; it changes nothing but to name the main file."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from cfgaudit.data import data_folder
from cli.conftest import Runs
from cli.program import contents, write

MACHINE = """\
[heater bed]
heat pin = PA1
swagger "of" it = 3
[contraption]
pin = PA4
"""


def test_beside_the_main_file(run: Runs, here: Path) -> None:
    write(here, {"deep/m/main.ini": MACHINE})
    for arguments in (["init"], ["init", "deep/m"], ["init", "deep/m/main.ini"]):
        ran = run(*arguments)
        assert (ran.status, ran.err) == (0, "")
        written = here / "deep" / "m" / "cfgaudit.toml"
        assert "deep/m/cfgaudit.toml is written." in ran.out
        assert tomllib.loads(written.read_text("utf-8")) == {"main": "main.ini", "roles": {}}
        assert {name for name in contents(here) if name.endswith(".toml")} == {"deep/m/cfgaudit.toml"}
        written.unlink()


def test_what_was_not_understood_stands_there_to_be_filled_in(run: Runs, here: Path) -> None:
    write(here, {"main.ini": MACHINE})
    assert "1 setting of unknown meaning" in run("init").out
    text = (here / "cfgaudit.toml").read_text("utf-8")
    assert '# "heater bed:swagger \\"of\\" it" = ""   # 3\n' in text
    assert '# "contraption" = ""\n' in text
    filled = text.replace('it" = ""', 'it" = "temp.min"').replace('# "heater', '"heater')
    write(here, {"cfgaudit.toml": filled})
    assert "0 not understood" in run("roles").out


@pytest.mark.parametrize("sample", ["heron/base", "gannet"])
def test_suggestions_that_are_taken_as_they_stand(run: Runs, here: Path, sample: str) -> None:
    """Every commented dialect line is valid, and gives what was detected anyway."""
    for path in (data_folder("samples") / sample).rglob("*.[ic]*"):
        target = here / path.relative_to(data_folder("samples") / sample)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(path.read_bytes())
    before = run("check", "--format", "json").out
    run("init")
    assert run("check", "--format", "json").out == before
    text = (here / "cfgaudit.toml").read_text("utf-8")
    start, end = text.index("# [dialect]"), text.index("\n\n", text.index("# [dialect]"))
    tomllib.loads(text[start:end].replace("# ", "", 1).replace("\n# ", "\n"))


@pytest.mark.parametrize("taken", ["file", "folder", "link", "dangling link"])
def test_an_existing_file_is_never_touched(run: Runs, here: Path, taken: str) -> None:
    write(here, {"main.ini": MACHINE, "other.txt": "# mine\n"})
    target = here / "cfgaudit.toml"
    if taken == "file":
        target.write_text("# mine\n")
    elif taken == "folder":
        target.mkdir()
    else:
        target.symlink_to("other.txt" if taken == "link" else "nowhere.txt")
    before = contents(here)
    ran = run("init", "main.ini")
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "cfgaudit.toml" in ran.err
    assert contents(here) == before
    assert not (here / "nowhere.txt").exists()


def test_an_empty_configuration(run: Runs, here: Path) -> None:
    write(here, {"main.ini": ""})
    assert run("init", "main.ini").status == 0
    assert tomllib.loads((here / "cfgaudit.toml").read_text("utf-8"))["main"] == "main.ini"
