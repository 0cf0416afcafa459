"""Bad input: one clear line that names the file and what to do, exit status 2, and nothing written."""

from __future__ import annotations

import os
import socket
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from cli.conftest import Runs
from cli.program import PROGRAM, contents, environment, process, write

PLAIN = "[board a]\nchip = LPC1768\n"
COMMANDS = ("check", "tree", "roles", "facts", "pins", "where x", "init")


def refuse(run: Runs, here: Path, line: str, *names: str, stdin: bytes = b"") -> str:
    """Run what must fail; the one line that it says."""
    before = contents(here)
    ran = run(*line.split(), stdin=stdin)
    assert (ran.status, ran.out) == (2, ""), ran
    assert ran.err.count("\n") == 1
    assert ran.err.endswith("\n")
    assert ran.err.startswith("cfgaudit: ")
    assert ": " in ran.err.removeprefix("cfgaudit: "), "what to do follows a colon"
    for name in names:
        assert name in ran.err
    assert contents(here) == before
    return ran.err


@pytest.mark.parametrize("command", COMMANDS)
def test_a_missing_main_file(run: Runs, here: Path, command: str) -> None:
    refuse(run, here, f"{command} parts/none.ini", "parts/none.ini", "does not exist")
    refuse(run, here, f"{command} no/such/folder/", "no/such/folder")


@pytest.mark.parametrize("command", COMMANDS)
def test_a_folder_without_a_configuration(run: Runs, here: Path, command: str) -> None:
    refuse(run, here, command, str(here), "no configuration file", "name the main file")
    (here / "empty").mkdir()
    refuse(run, here, f"{command} empty", "empty: ", "no configuration file")


def test_a_folder_with_two_candidates(run: Runs, here: Path) -> None:
    write(here, {"one.ini": PLAIN, "two.ini": PLAIN})
    refuse(run, here, "check", "one.ini", "two.ini", "name the main file", "cfgaudit.toml")


def test_a_folder_where_every_file_is_included(run: Runs, here: Path) -> None:
    write(here, {"ring/a.ini": "%include b.ini\n", "ring/b.ini": "%include a.ini\n"})
    refuse(run, here, "check ring", "ring: ", "a.ini", "b.ini", "name the main file")


def test_an_endless_cycle_is_a_finding_of_the_main_file_that_is_named(run: Runs, here: Path) -> None:
    write(here, {"a.ini": "%include b.ini\n", "b.ini": "%include a.ini\n"})
    ran = run("check", "a.ini")
    assert ran.status == 1
    assert "include-cycle" in ran.out


@pytest.mark.parametrize("command", COMMANDS)
def test_a_binary_file(run: Runs, here: Path, command: str) -> None:
    (here / "photo.ini").write_bytes(bytes(range(256)) * 20)
    refuse(run, here, f"{command} photo.ini", "photo.ini is a binary file", "name a text file")


def test_a_file_in_utf_16(run: Runs, here: Path) -> None:
    (here / "editor.ini").write_bytes(PLAIN.encode("utf-16"))
    refuse(run, here, "check editor.ini", "editor.ini", "save it as UTF-8")


def test_a_file_of_50_mebibytes(run: Runs, here: Path) -> None:
    with open(here / "log.ini", "wb") as file:
        file.truncate(50 * 1024 * 1024)
    ran = run("check", "log.ini")
    assert ran.status == 2
    assert "log.ini is 50 MiB" in ran.err
    assert ran.err.count("\n") == 1


def test_what_is_no_regular_file(run: Runs, here: Path) -> None:
    os.mkfifo(here / "pipe.ini")
    refuse_special(run, "pipe.ini")
    with socket.socket(socket.AF_UNIX) as one:
        one.bind("socket.ini")
        refuse_special(run, "socket.ini")
    refuse_special(run, "/dev/zero")


def refuse_special(run: Runs, name: str) -> None:
    ran = run("check", name)
    assert ran.status == 2
    assert f"{name} is no regular file" in ran.err


def test_a_link_that_leads_to_itself(run: Runs, here: Path) -> None:
    (here / "loop.ini").symlink_to("loop.ini")
    (here / "round").symlink_to("round")
    for name, told in (("loop.ini", "loop.ini is a link"), ("round/main.ini", "round/")):
        ran = run("check", name)
        assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
        assert told in ran.err


def test_a_very_deep_folder(run: Runs, here: Path) -> None:
    """Deeper than a path may be long (PATH_MAX of POSIX): what lies too deep is not found; nothing fails."""
    home = os.getcwd()
    try:
        for _ in range(400):
            os.mkdir("down" * 5)
            os.chdir("down" * 5)
        Path("deep.ini").write_text(PLAIN)
    finally:
        os.chdir(home)
    ran = run("check")
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "no configuration file" in ran.err


def test_a_main_file_in_a_deep_folder(run: Runs, here: Path) -> None:
    deep = "/".join("down" for _ in range(50))
    write(here, {f"{deep}/deep.ini": PLAIN})
    assert run("check").out.startswith("deep.ini, 1 setting: nothing found")


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("main = \n", "cfgaudit.toml:1"),
        ("[limits]\nmuch = 3\n", "cfgaudit.toml:2"),
        ("[rules]\npin-shared = 'loud'\n", "cfgaudit.toml:2"),
        ("[colour]\n", "cfgaudit.toml:1"),
        ("[roles]\n'a' = 'temp.mux'\n", "cfgaudit.toml:2"),
        ("vocabulary = 'words.toml'\n", "cfgaudit.toml:1: vocabulary: words.toml"),
    ],
)
def test_a_broken_project_file(run: Runs, here: Path, text: str, place: str) -> None:
    write(here, {"machine/main.ini": PLAIN, "machine/cfgaudit.toml": text})
    for line in ("check machine", "check machine/main.ini", "pins machine"):
        refuse(run, here, line, f"machine/{place}")


def test_a_project_file_that_is_no_text(run: Runs, here: Path) -> None:
    write(here, {"main.ini": PLAIN})
    (here / "cfgaudit.toml").write_bytes(b"\xff\xfe\x00main")
    refuse(run, here, "check", "cfgaudit.toml:1", "save the file as UTF-8")
    (here / "cfgaudit.toml").unlink()
    (here / "cfgaudit.toml").mkdir()
    refuse(run, here, "check main.ini", "cfgaudit.toml is a folder")


def test_a_main_file_that_the_project_file_names_but_nobody_has(run: Runs, here: Path) -> None:
    write(here, {"machine/main.ini": PLAIN, "machine/cfgaudit.toml": 'main = "mian.ini"\n'})
    refuse(run, here, "check machine", "machine/mian.ini does not exist", "cfgaudit.toml names it")


def test_unknown_rules(run: Runs, here: Path) -> None:
    refuse(run, here, "explain no-such-thing-at-all", "no-such-thing-at-all", "cfgaudit rules")
    refuse(run, here, "explain pin-sharde", "did you mean pin-shared?")


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("check -", "--path FILE"),
        ("check main.ini --path main.ini", "give -"),
        ("check - --path machine", "machine is a folder"),
        ("pins -", "only check reads standard input"),
        ("init -", "only check reads standard input"),
        ("check --staged --rev HEAD", "exclude each other"),
        ("chek", "check"),
        ("check --fail-at never", "'danger', 'error', 'warning', 'note'"),
        ("check --format xml", "'text', 'json'"),
        ("check --colour", "--colour"),
        ("check one two", "two"),
        ("where", "NAME"),
        ("facts --only", "--only"),
    ],
)
def test_wrong_usage(run: Runs, here: Path, line: str, said: str) -> None:
    (here / "machine").mkdir()
    ran = run(*line.split())
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert said in ran.err


@pytest.mark.parametrize(
    "arguments", [("check", ""), ("where", ""), ("demo", ""), ("check", "-", "--path", "")]
)
def test_empty_names(run: Runs, here: Path, arguments: tuple[str, ...]) -> None:
    """What a script gives whose variable is not set. It never means the current folder."""
    write(here, {"main.ini": PLAIN})
    ran = run(*arguments)
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)


def test_no_command_at_all(run: Runs, here: Path) -> None:
    ran = run()
    assert ran.status == 2
    assert ran.out.startswith("Usage: cfgaudit")


def test_a_file_whose_name_begins_with_a_dash(run: Runs, here: Path) -> None:
    write(here, {"-main.ini": PLAIN})
    refuse(run, here, "check -main.ini", "./-main.ini")
    assert run("check", "./-main.ini").status == 0
    assert run("check", "--", "-main.ini").status == 0


def test_a_name_with_line_ends_and_escapes(run: Runs, here: Path) -> None:
    ran = run("check", "a\nb\x1b[31m\x9b.ini")
    assert ran.status == 2
    assert ran.err == "cfgaudit: a b\\x1b[31m\\x9b.ini does not exist: check the spelling and the folder\n"


def test_a_name_that_is_not_utf_8(here: Path) -> None:
    ran = process("check", b"caf\xe9.ini", cwd=here)
    assert (ran.status, ran.out) == (2, "")
    assert "caf\\xe9.ini does not exist" in ran.err
    (here / os.fsdecode(b"caf\xe9.ini")).write_text(PLAIN)
    ran = process("check", b"caf\xe9.ini", cwd=here)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("caf\\xe9.ini, 1 setting: ")


def test_a_current_folder_that_is_gone(here: Path) -> None:
    leave = 'mkdir gone && cd gone && rmdir ../gone && exec "$@"'
    done = subprocess.run(
        ["sh", "-c", leave, "sh", *PROGRAM, "check"],
        cwd=here,
        env=environment(),
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.splitlines()[-1].startswith("cfgaudit: the current folder is gone: ")
    assert "Traceback" not in done.stderr


def test_git_is_asked_outside_of_any_repository(run: Runs, here: Path) -> None:
    write(here, {"main.ini": PLAIN})
    for line in ("check main.ini --staged", "check main.ini --rev HEAD", "pins --staged", "facts --rev HEAD"):
        refuse(run, here, line, str(here), "no git repository")
    refuse(run, here, "check gone/main.ini --staged", "gone")


@pytest.mark.parametrize("rev", ["nothing", "--help", "HEAD~5", "main:main.ini"])
def test_a_bad_revision(run: Runs, here: Path, git: Callable[..., str], rev: str) -> None:
    write(here, {"main.ini": PLAIN})
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    ran = run("check", f"--rev={rev}")
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert rev in ran.err
    assert "give a branch, a tag" in ran.err


def test_a_file_that_git_does_not_have(run: Runs, here: Path, git: Callable[..., str]) -> None:
    write(here, {"main.ini": PLAIN})
    git("commit", "--quiet", "--message=none", "--allow-empty")
    ran = run("check", "main.ini", "--staged")
    assert (ran.status, ran.err) == (
        2,
        "cfgaudit: main.ini is not in the git index: git add it first, or leave out --staged\n",
    )
    ran = run("check", "main.ini", "--rev", "HEAD")
    assert ran.status == 2
    assert ran.err.startswith("cfgaudit: main.ini is not in commit ")
