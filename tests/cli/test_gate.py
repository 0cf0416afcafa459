"""``gate``: one screen that says whether a restart may go ahead, in real repositories."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from cfgaudit.data import data_folder
from cfgaudit.history.gating.acceptance import NOTES
from cli.conftest import Runs
from cli.program import contents, write

Git = Callable[..., str]
MACHINE = """\
[heater bed]
heat pin = PA1
thermistor pin = PA2
lowest temp = 5
highest temp = 100

[fan left]
pin = PA4
"""
HOTTER = MACHINE.replace("100", "115")
"""A heater that may get hotter: a danger, and nothing that a rule finds."""
FAULTY = MACHINE.replace("= 5", "= 300")
"""The lowest temperature is above the highest, which stands in line 5."""
SAFETY = (
    "cannot see wiring",
    "no proof that a machine is safe",
    "thermal cut-out",
    "hands clear",
    "licensed",
)


@pytest.fixture
def unmarked(here: Path, git: Git) -> Path:
    write(here, {"oven.ini": MACHINE})
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    return here / "oven.ini"


@pytest.fixture
def machine(unmarked: Path, git: Git) -> Path:
    git("tag", "--annotate", "--message=six hours of PETG", "good/2026-11-10")
    return unmarked


def flowing(text: str) -> str:
    return " ".join(text.split())


def noted(git: Git) -> list[str]:
    """What git says is accepted: note and content, a line each."""
    return git("notes", f"--ref={NOTES}", "list").splitlines()


def test_nothing_changed(run: Runs, machine: Path) -> None:
    ran = run("gate")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("PASS  oven.ini: ")
    assert "compared with good/2026-11-10 (six hours of PETG)" in flowing(ran.out)
    assert all(words in flowing(ran.out) for words in SAFETY), "a pass could be read as: it is safe"


def test_a_comment_passes(run: Runs, machine: Path) -> None:
    machine.write_text("; from below\n" + MACHINE.replace("= 100", "=   100.0"))
    assert run("gate").status == 0


def test_a_new_finding_stops(run: Runs, machine: Path) -> None:
    machine.write_text(FAULTY)
    ran = run("gate")
    assert (ran.status, ran.err) == (1, "")
    assert ran.out.startswith("STOP  oven.ini: 1 new finding")
    assert "error oven.ini:5 limits-inverted" in flowing(ran.out)
    assert "Mend what was found" in ran.out
    assert run("gate", "--fail-at", "danger").status == 0


def test_a_record_of_the_future_stops(run: Runs, machine: Path, git: Git) -> None:
    """What check finds the gate finds too; and what a mark had already is new to neither."""
    record = 'form = 1\nkind = "hours"\npart = "belts"\ndate = 2126-11-09T08:00:00+01:00\n'
    record += '[[result]]\nname = "hours"\nvalue = 312\nunit = "h"\n'
    write(machine.parent, {"evidence/hours.toml": record})
    ran = run("gate", "--fail-at", "warning")
    assert (ran.status, ran.err) == (1, "")
    assert "warning evidence/hours.toml:4 evidence-broken" in flowing(ran.out)
    git("add", ".")
    git("commit", "--quiet", "--message=measured")
    git("tag", "--annotate", "--message=six hours more", "good/2026-11-12")
    assert run("gate", "--fail-at", "warning").status == 0
    assert "evidence-broken" not in run("check", "--since", "last-mark", "--fail-at", "warning").out


def test_what_was_found_at_the_mark_does_not_stop(run: Runs, unmarked: Path, git: Git) -> None:
    unmarked.write_text(FAULTY)
    git("commit", "--quiet", "--all", "--message=faulty")
    git("tag", "--annotate", "--message=printed anyway", "good/2026-11-11")
    unmarked.write_text("\n\n" + FAULTY)
    ran = run("gate")
    assert ran.status == 0
    assert "1 finding known then (1 error)." in flowing(ran.out)


def test_what_was_found_under_another_name_does_not_stop(run: Runs, unmarked: Path, git: Git) -> None:
    """The heater gets another name; a fault that another one has since the mark stops."""
    unmarked.write_text(FAULTY)
    git("commit", "--quiet", "--all", "--message=faulty")
    git("tag", "--annotate", "--message=printed anyway", "good/2026-11-11")
    renamed = FAULTY.replace("heater bed", "heater plate")
    unmarked.write_text(renamed)
    ran = run("gate")
    assert ran.status == 0
    assert "1 finding known then (1 error)." in flowing(ran.out)
    other = renamed.replace(
        "[fan left]", "[heater lid]\nheat pin = PA5\nlowest temp = 99\nhighest temp = 60\n[fan left]"
    )
    unmarked.write_text(other)
    ran = run("gate")
    assert ran.status == 1
    assert "error oven.ini:10 limits-inverted" in flowing(ran.out)
    assert "oven.ini:5 limits-inverted" not in flowing(ran.out)


def test_what_was_a_lesser_fault_at_the_mark_stops(run: Runs, unmarked: Path, git: Git) -> None:
    """The same rule at the same setting, but an error now."""
    unmarked.write_text(MACHINE.replace("highest temp = 100", "highest temp = 100\npower at most = 150"))
    git("commit", "--quiet", "--all", "--message=a share of 150")
    git("tag", "--annotate", "--message=printed anyway", "good/2026-11-11")
    assert run("gate").status == 0
    unmarked.write_text(MACHINE.replace("highest temp = 100", "highest temp = 100\npower at most = 1.5"))
    ran = run("gate")
    assert ran.status == 1
    assert "error oven.ini:6 duty-out-of-range" in flowing(ran.out)


def test_a_dangerous_change_stops(run: Runs, machine: Path) -> None:
    machine.write_text(HOTTER)
    ran = run("gate")
    assert (ran.status, ran.err) == (1, "")
    assert ran.out.startswith("STOP  oven.ini: 1 dangerous change not accepted.\n")
    assert "danger heater bed:highest temp: 100 → 115" in flowing(ran.out)
    assert "oven.ini:5" in ran.out
    assert "cfgaudit restore 'heater bed:highest temp'" in ran.out
    assert "cfgaudit gate --accept why\n" in ran.out
    assert all(words in flowing(ran.out) for words in SAFETY)


def test_it_is_accepted_for_exactly_this_content(run: Runs, machine: Path, git: Git) -> None:
    machine.write_text(HOTTER)
    before = contents(machine.parent)
    ran = run("gate", "--accept", "the new bed stands 130 °C")
    assert (ran.status, ran.err) == (0, "")
    assert "PASS  oven.ini" in ran.out
    again = run("gate")
    assert again.status == 0
    assert "1 dangerous change accepted by Odile on" in flowing(again.out)
    assert "the new bed stands 130 °C" in flowing(again.out)
    assert all(path.startswith(".git/") for path in set(contents(machine.parent)) - set(before))
    assert len(noted(git)) == 1
    machine.write_text(HOTTER + "\n")
    assert run("gate").status == 1, "another content"
    machine.write_text(HOTTER)
    git("commit", "--quiet", "--all", "--message=hotter")
    assert run("gate").status == 0, "committing changes nothing of the content"


def test_what_is_accepted_is_not_more_than_what_was_seen(run: Runs, machine: Path, git: Git) -> None:
    """A mark that knew a lower limit makes another change of the same content."""
    machine.write_text(HOTTER)
    assert run("gate", "--accept", "meant").status == 0
    machine.write_text(MACHINE.replace("100", "90"))
    git("commit", "--quiet", "--all", "--message=colder")
    git("tag", "--annotate", "--message=colder is better", "good/2026-11-20")
    machine.write_text(HOTTER)
    ran = run("gate")
    assert ran.status == 1
    assert "heater bed:highest temp: 90 → 115" in ran.out
    assert run("gate", "--accept", "meant again").status == 0
    assert len(noted(git)) == 1
    note = git("notes", f"--ref={NOTES}", "show", noted(git)[0].split()[1])
    assert (
        note.index("meant\n") < note.index("100 → 115") < note.index("meant again") < note.index("90 → 115")
    )


def test_findings_are_not_accepted(run: Runs, machine: Path) -> None:
    machine.write_text(FAULTY.replace("100", "115"))
    ran = run("gate", "--accept", "meant")
    assert ran.status == 1
    assert "STOP  oven.ini: 1 new finding." in ran.out
    assert "limits-inverted" in ran.out


@pytest.mark.parametrize("text", [MACHINE, MACHINE + "; a word\n"])
def test_nothing_needs_to_be_accepted(run: Runs, machine: Path, git: Git, text: str) -> None:
    machine.write_text(text)
    before = contents(machine.parent)
    ran = run("gate", "--accept", "because")
    assert ran.status == 0
    assert "nothing is written" in ran.out
    assert contents(machine.parent) == before


def test_accepted_already(run: Runs, machine: Path, git: Git) -> None:
    machine.write_text(HOTTER)
    run("gate", "--accept", "first")
    before = noted(git)
    assert "nothing is written" in run("gate", "--accept", "second").out
    assert noted(git) == before


@pytest.mark.parametrize("reason", ["", "  \n"])
def test_a_reason_is_required(run: Runs, machine: Path, git: Git, reason: str) -> None:
    machine.write_text(HOTTER)
    ran = run("gate", "--accept", reason)
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "needs a reason" in ran.err
    assert noted(git) == []


def test_nobody_accepts(run: Runs, machine: Path, git: Git, monkeypatch: pytest.MonkeyPatch) -> None:
    machine.write_text(HOTTER)
    for who in ("AUTHOR", "COMMITTER"):
        for what in ("NAME", "EMAIL"):
            monkeypatch.delenv(f"GIT_{who}_{what}")
    git("config", "user.useConfigOnly", "true")
    ran = run("gate", "--accept", "meant")
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "git config user.name" in ran.err


def test_what_is_staged(run: Runs, machine: Path, git: Git) -> None:
    machine.write_text(HOTTER)
    git("add", ".")
    machine.write_text(MACHINE)
    assert run("gate").status == 0
    ran = run("gate", "--staged")
    assert ran.status == 1
    assert "The git index, compared with" in ran.out
    assert "cfgaudit gate --staged --accept" in flowing(ran.out)
    assert run("gate", "--staged", "--accept", "meant").status == 0
    assert run("gate", "--staged").status == 0
    machine.write_text(HOTTER)
    assert run("gate").status == 0, "the same content on disk"


def test_what_cfgaudit_toml_says_is_part_of_the_content(run: Runs, machine: Path) -> None:
    machine.write_text(HOTTER)
    write(machine.parent, {"cfgaudit.toml": "", "words.toml": ""})
    assert run("gate", "--accept", "meant").status == 0
    write(machine.parent, {"cfgaudit.toml": 'vocabulary = ["words.toml"]\n'})
    assert run("gate").status == 1
    assert run("gate", "--accept", "meant").status == 0
    write(machine.parent, {"words.toml": "[words]\n"})
    assert run("gate").status == 1


@pytest.mark.parametrize("text", [MACHINE, FAULTY])
@pytest.mark.parametrize("committed", [True, False])
def test_no_mark(run: Runs, here: Path, git: Git, text: str, committed: bool) -> None:
    """Every finding counts, and it says how to make a mark."""
    write(here, {"oven.ini": text})
    if committed:
        git("add", ".")
        git("commit", "--quiet", "--message=first")
    ran = run("gate")
    assert (ran.status, ran.err) == (int(text is FAULTY), "")
    assert "no commit of this branch is marked" in flowing(ran.out)
    assert "cfgaudit mark -m" in flowing(ran.out)
    assert ("limits-inverted" in ran.out) == (text is FAULTY)


def test_no_repository(run: Runs, here: Path) -> None:
    write(here, {"oven.ini": MACHINE})
    ran = run("gate")
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert "git init" in ran.err


def test_a_change_without_effect(run: Runs, here: Path, git: Git) -> None:
    """A later file says otherwise, then as now."""
    files = {"oven.ini": "%include low.ini\n" + MACHINE, "low.ini": "[heater bed]\nhighest temp = 80\n"}
    write(here, files)
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    git("tag", "--annotate", "--message=six hours", "good/2026-11-10")
    write(here, {"low.ini": "[heater bed]\nhighest temp = 140\n"})
    assert run("gate").status == 0


def test_as_json(run: Runs, machine: Path, git: Git) -> None:
    machine.write_text(FAULTY.replace("100", "115"))
    ran = run("gate", "--format", "json")
    form = json.loads(ran.out)
    assert ran.status == 1
    assert form["schema"] == 1
    assert (form["verdict"], form["main"], form["fail_at"]) == ("stop", "oven.ini", "error")
    assert form["from"]["label"] == "good/2026-11-10"
    assert form["from"]["commit"] == git("rev-parse", "HEAD").strip()
    assert [one["rule"] for one in form["findings"]] == ["limits-inverted"]
    changed = {(one["section"], one["setting"]): one for one in form["changes"]}
    assert changed["heater bed", "highest temp"]["before"] == "100"
    assert changed["heater bed", "highest temp"]["after"] == "115"
    assert form["acceptance"] == []
    run("gate", "--accept", "meant")
    form = json.loads(run("gate", "--format", "json").out)
    assert [one["reason"] for one in form["acceptance"]] == ["meant"]
    assert form["acceptance"][0]["author"] == "Odile <odile@example.org>"
    assert [one["setting"] for one in form["accepted"]] == list(dict.fromkeys(name for _, name in changed))
    assert noted(git)[0].split()[1] == form["content"]


def test_as_json_without_a_mark(run: Runs, unmarked: Path) -> None:
    form = json.loads(run("gate", "--format", "json").out)
    assert (form["verdict"], form["from"]) == ("pass", None)


def test_commands_that_it_proposes_can_be_copied(run: Runs, here: Path, git: Git) -> None:
    write(here, {"the mill/oven.ini": MACHINE, "press/oven.ini": MACHINE})
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    git("tag", "--annotate", "--message=six hours", "good/2026-11-10")
    write(here, {"the mill/oven.ini": HOTTER})
    told = flowing(run("gate", "the mill").out)
    assert "cfgaudit gate 'the mill' --accept" in told
    assert "cfgaudit restore --main 'the mill' 'heater bed:highest temp'" in told


@pytest.mark.parametrize("columns", [40, 80, 120])
def test_one_screen(run: Runs, here: Path, columns: int) -> None:
    """Two dozen faults and more: it still fits, and says how many are not shown."""
    run("demo", "demo")
    ran = run("gate", "demo", columns=columns)
    lines = ran.out.splitlines()
    assert ran.status == 1
    assert lines[0].startswith("STOP  heron.ini: ")
    assert max(map(len, lines)) <= columns
    if columns >= 80:
        assert len(lines) <= 22  # of 24: the command itself and the next prompt
    assert " more: cfgaudit changes --main demo" in flowing(ran.out)
    severities = [line.split()[0] for line in lines if line.startswith(("  danger ", "  error "))]
    assert severities == sorted(severities), "the worst first"
    assert severities


def test_long_words_leave_it_one_screen(run: Runs, here: Path) -> None:
    run("demo", "demo")
    for reason in ("at length " * 99, "again, " * 99):
        assert run("gate", "demo", "--accept", reason).status == 1
        write(here / "demo", {"more.ini": reason})
    assert len(run("gate", "demo").out.splitlines()) <= 22


def test_what_a_terminal_would_act_on_is_written_out(run: Runs, machine: Path) -> None:
    machine.write_text(HOTTER.replace("115", "115 \x1b[2J"))
    assert "\x1b" not in run("gate").out


def test_samples_pass_at_their_mark(run: Runs, here: Path, git: Git) -> None:
    for path in (data_folder("samples") / "gannet").rglob("*.*"):
        write(here, {path.relative_to(data_folder("samples") / "gannet").as_posix(): path.read_text("utf-8")})
    git("add", ".")
    git("commit", "--quiet", "--message=first")
    git("tag", "--annotate", "--message=two spools", "good/2026-11-10")
    assert run("gate").status == 0
