"""Help: it fits 80 columns, says what each command is for, repeats the cautions, and can be completed."""

from __future__ import annotations

from pathlib import Path

import pytest

from cfgaudit.checks.cards import load_cards
from cfgaudit.cli.main import CAUTIOUS, COMMANDS
from cli.conftest import Runs
from cli.program import process

SAFETY = (
    "cannot see wiring",
    "no proof that a machine is safe",
    "thermal cut-out",
    "hands clear",
    "licensed",
)


@pytest.mark.parametrize("command", [(), *((name,) for name in COMMANDS)])
def test_help(run: Runs, command: tuple[str, ...]) -> None:
    for columns in (80, 120):
        ran = run(*command, "--help", columns=columns)
        assert (ran.status, ran.err) == (0, "")
        assert max(map(len, ran.out.splitlines())) <= columns
        assert "..." not in ran.out.replace("]...", "]"), "no sentence is cut"
        assert "[[" not in ran.out
        told = " ".join(ran.out.split())
        cautious = not command or command[0] in CAUTIOUS
        assert all((words in told) == cautious for words in SAFETY)


def test_every_command_is_listed_with_what_it_is_for(run: Runs) -> None:
    told = run("--help").out
    listed = dict(
        text.split(maxsplit=1) for text in told[told.index("Commands:") :].splitlines()[1 : len(COMMANDS) + 1]
    )
    assert listed == dict(COMMANDS)


def test_commands_are_those_that_there_are() -> None:
    import cfgaudit.cli

    modules = {path.stem for path in Path(cfgaudit.cli.__file__).parent.glob("*.py")}
    assert set(COMMANDS) <= modules


def completed(words: str, shell: str = "bash", cwd: Path | None = None) -> list[str]:
    """What a shell is offered for the last word, as the library's scripts ask for it."""
    env = {
        "_CFGAUDIT_COMPLETE": f"complete_{shell}",
        "COMP_WORDS": words,
        "COMP_CWORD": str(words.count(" ")),
    }
    if shell != "bash":
        env = {"_CFGAUDIT_COMPLETE": f"complete_{shell}", "_TYPER_COMPLETE_ARGS": words}
        env |= {"_TYPER_COMPLETE_FISH_ACTION": "get-args"} if shell == "fish" else {}
    return process(env=env, cwd=cwd).out.split()


def test_completion_of_commands() -> None:
    assert completed("cfgaudit ") == list(COMMANDS)
    assert completed("cfgaudit ex") == ["explain"]


def test_completion_of_options_and_choices() -> None:
    assert "--fail-at" in completed("cfgaudit check --fa")
    assert completed("cfgaudit check --fail-at ") == ["danger", "error", "warning", "note"]
    assert completed("cfgaudit pins --format ") == ["text", "json"]


def test_completion_of_rules() -> None:
    offered = completed("cfgaudit explain pi")
    assert offered == [name for name in load_cards() if name.startswith("pi")]
    assert len(offered) > 2


def test_completion_of_records(tmp_path: Path) -> None:
    (tmp_path / "evidence").mkdir()
    for name in ("2026-11-08-hours-belts.toml", "2026-11-09-hours-belts.toml", "x.csv"):
        (tmp_path / "evidence" / name).touch()
    assert completed("cfgaudit evidence s") == ["show"]
    assert completed("cfgaudit evidence show 2026-11-09", cwd=tmp_path) == ["2026-11-09-hours-belts.toml"]
    assert completed("cfgaudit evidence show ", cwd=tmp_path / "evidence") == []


def test_help_names_every_command_that_writes(run: Runs) -> None:
    """Those with a file of the configuration in hand: who reads the help decides by it what to try."""
    told = " ".join(run("--help").out.split())
    told = told[told.index("Only restore") : told.index("Exit status")]
    words = {word.strip(",;.") for word in told.split()} & set(COMMANDS) - {"changes"}
    assert words == {"restore", "measure", "init", "demo", "mark", "gate"}


@pytest.mark.parametrize("shell", ["zsh", "fish"])
def test_other_shells(shell: str) -> None:
    assert any("explain" in one for one in completed("cfgaudit ex", shell))


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_script_for_a_shell(shell: str) -> None:
    script = process(env={"_CFGAUDIT_COMPLETE": f"source_{shell}"}).out
    assert "_CFGAUDIT_COMPLETE=complete_" in script
