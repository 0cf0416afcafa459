"""``restore`` in real repositories: what it writes, what it refuses, what it says."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from cli.conftest import Runs
from cli.program import contents, write

Git = Callable[..., str]
MAIN = """\
; the first machine
%include parts/bed.ini

[motion]
kinematics = cartesian
top acceleration = 3000 mm/s²

[axis x]
lowest  = 0 mm
highest = 300 mm     ; by the long ruler
"""
BED = """\
[heater bed]
drive       = PB1
thermometer = PC0, NTC 100k B3950, pull-up 4.7k
lowest      = 5 °C
highest     = 110 °C

[guard bed]
watches   = heater bed
must gain = 2 K
within    = 60 s
"""
FILES = {"main.ini": MAIN, "parts/bed.ini": BED}


@pytest.fixture
def marked(here: Path, git: Git) -> Path:
    """A machine, committed and marked."""
    write(here, FILES)
    git("add", ".")
    git("commit", "--quiet", "--message=as it prints")
    git("tag", "--annotate", "good/2026-11-10", "--message=two shades")
    return here


def edit(folder: Path, name: str, *pairs: tuple[str, str]) -> str:
    text = (folder / name).read_bytes().decode("utf-8", "surrogateescape")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    (folder / name).write_bytes(text.encode("utf-8", "surrogateescape"))
    return text


def texts(folder: Path) -> dict[str, str]:
    found = contents(folder).items()
    return {name: data.decode() for name, data in found if data is not None and not name.startswith(".git/")}


def refused(ran: object, told: str) -> bool:
    return (ran.status, ran.out) == (2, "") and told in ran.err and ran.err.count("\n") == 1  # type: ignore[attr-defined]


class TestValues:
    def test_one_value(self, run: Runs, marked: Path) -> None:
        now = edit(marked, "main.ini", ("300 mm     ; by", "330 mm  ; by"), ("3000", "9000"))
        ran = run("restore", "axis x:highest")
        assert (ran.status, ran.err) == (0, "")
        assert texts(marked) == {**FILES, "main.ini": now.replace("330 mm", "300 mm")}
        assert ran.out == (
            "--- main.ini\n"
            "+++ main.ini, put back\n"
            "@@ -8,3 +8,3 @@\n"
            " [axis x]\n"
            " lowest  = 0 mm\n"
            "-highest = 330 mm  ; by the long ruler\n"
            "+highest = 300 mm  ; by the long ruler\n"
            "\n"
            "Put back in main.ini, as at good/2026-11-10.\n"
            "The findings are the same.\n"
            "1 change since good/2026-11-10 remains.\n"
        )

    def test_everything(self, run: Runs, marked: Path, git: Git) -> None:
        edit(marked, "main.ini", ("300 mm ", "330 mm "), ("3000", "9000"))
        edit(
            marked,
            "parts/bed.ini",
            ("110", "130"),
            ("within    = 60 s\n", ""),
            ("[heater bed]", "[heater bed]\nvolts = 24 V"),
        )
        ran = run("restore", "--all")
        assert (ran.status, ran.err) == (0, "")
        assert texts(marked) == FILES
        assert git("status", "--porcelain") == ""
        assert "Put back in main.ini and parts/bed.ini, as at good/2026-11-10." in ran.out
        assert "No setting differs from good/2026-11-10 any more." in ran.out

    def test_of_one_concern(self, run: Runs, marked: Path) -> None:
        now = edit(marked, "main.ini", ("3000", "9000"))
        edit(marked, "parts/bed.ini", ("110", "130"))
        assert run("restore", "--concern", "heat").status == 0
        assert texts(marked) == {**FILES, "main.ini": now}

    def test_from_any_revision(self, run: Runs, marked: Path, git: Git) -> None:
        then = edit(marked, "main.ini", ("3000", "4000"))
        git("commit", "--quiet", "--all", "--message=faster")
        edit(marked, "main.ini", ("4000", "9000"))
        ran = run("restore", "motion:top acceleration", "--from", "HEAD")
        assert ran.status == 0
        assert texts(marked)["main.ini"] == then
        assert re.search(r"^Put back in main\.ini, as at \w+", ran.out, re.MULTILINE)

    def test_a_name_and_who_uses_it(self, run: Runs, marked: Path, git: Git) -> None:
        edit(marked, "parts/bed.ini", ("heater bed", "heater table"), ("within    = 60", "within    = 70"))
        edit(marked, "main.ini", ("[motion]", "[fan table]\nruns with = heater table\n\n[motion]"))
        ran = run("restore", "heater bed")
        assert (ran.status, ran.err) == (0, "")
        assert texts(marked)["parts/bed.ini"] == BED.replace("within    = 60", "within    = 70")
        assert "runs with = heater bed\n" in texts(marked)["main.ini"]
        assert "2 changes since good/2026-11-10 remain." in ran.out
        assert run("restore", "--all").status == 0
        assert texts(marked) == FILES

    def test_a_value_keeps_to_a_name_that_stays(self, run: Runs, marked: Path) -> None:
        now = edit(
            marked, "parts/bed.ini", ("heater bed", "heater table"), ("must gain = 2", "must gain = 3")
        )
        ran = run("restore", "guard bed:must gain")
        assert (ran.status, ran.err) == (0, "")
        assert texts(marked)["parts/bed.ini"] == now.replace("must gain = 3", "must gain = 2")

    def test_what_moved_to_another_section(self, run: Runs, marked: Path) -> None:
        edit(marked, "main.ini", ("top acceleration = 3000 mm/s²\n", ""))
        edit(marked, "main.ini", ("[axis x]\n", "[axis x]\ntop acceleration = 3000 mm/s²\n"))
        ran = run("restore", "*:top acceleration")
        assert (ran.status, ran.err) == (0, "")
        assert texts(marked) == FILES

    def test_bytes_that_are_no_utf_8(self, run: Runs, here: Path, git: Git) -> None:
        then = b"\xef\xbb\xbf; caf\xe9\r\n[axis x]\r\nhighest = 300 ; M\xfcller\r\nlowest = 0"
        (here / "main.ini").write_bytes(then)
        git("add", ".")
        git("commit", "--quiet", "--message=old")
        git("tag", "--annotate", "good/2026-11-10", "--message=one")
        (here / "main.ini").write_bytes(then.replace(b"300", b"330").replace(b"= 0", b"= -5"))
        ran = run("restore", "--all")
        assert ran.status == 0
        assert (here / "main.ini").read_bytes() == then
        assert "+highest = 300 ; M\\xfcller\n" in ran.out
        assert "\\ no line end\n" in ran.out

    def test_what_the_machine_wrote(self, run: Runs, marked: Path, git: Git) -> None:
        block = "\n;~ measured\n;~ [axis x]\n;~ highest = 310 mm\n"
        edit(marked, "main.ini", ("by the long ruler\n", "by the long ruler\n" + block))
        ran = run("restore", "axis x:highest")
        assert ran.status == 0
        assert texts(marked)["main.ini"] == MAIN + "\n;~ measured\n"

    def test_from_another_folder(self, run: Runs, marked: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        edit(marked, "parts/bed.ini", ("110", "130"))
        monkeypatch.chdir(marked / "parts")
        ran = run("restore", "heater bed", "--main", "../main.ini")
        assert ran.status == 0
        assert texts(marked) == FILES


class TestNothingIsWritten:
    def test_dry_run(self, run: Runs, marked: Path) -> None:
        now = edit(marked, "main.ini", ("300 mm ", "330 mm "))
        ran = run("restore", "--all", "--dry-run")
        assert (ran.status, ran.err) == (0, "")
        assert texts(marked)["main.ini"] == now
        assert ran.out.endswith("+highest = 300 mm     ; by the long ruler\n")

    def test_nothing_to_restore(self, run: Runs, marked: Path) -> None:
        edit(marked, "main.ini", ("; the first machine", "; our first machine"))
        ran = run("restore", "--all")
        assert ran == (0, "Nothing to restore: all is as it was at good/2026-11-10.\n", "")

    def test_nothing_of_a_concern(self, run: Runs, marked: Path) -> None:
        edit(marked, "main.ini", ("3000", "9000"))
        ran = run("restore", "--concern", "probing")
        assert ran == (0, "Nothing to restore: nothing of probing changed since good/2026-11-10.\n", "")

    @pytest.mark.parametrize(
        ("words", "told"),
        [
            ((), "say what to put back: SECTION:SETTING, or --concern CONCERN, or --all"),
            (("--all", "axis x"), "say what to put back"),
            (("--all", "--concern", "heat"), "say what to put back"),
            (("",), "an address is empty"),
            (("axis x:lowest",), "axis x:lowest is as it was at good/2026-11-10: "),
            (("axis x:higest",), "nothing has the name axis x:higest (did you mean axis x:highest?): "),
            (("lamp:colour",), "nothing has the name lamp:colour: "),
            (
                ("fan front:drive",),
                "[fan front] came or went as a whole: restore fan front, with all that is ",
            ),
            (("--concern", "haet"), "no concern is called haet (did you mean heat?): there are heat, "),
            (("--all", "--from", "nowhere"), "'nowhere' names no commit in "),
            (("--all", "--main", "gone.ini"), "gone.ini does not exist"),
        ],
    )
    def test_one_line_that_says_why(self, run: Runs, marked: Path, words: tuple[str, ...], told: str) -> None:
        edit(marked, "main.ini", ("300 mm ", "330 mm "), ("[axis x]", "[fan front]\ndrive = PA5\n\n[axis x]"))
        before = texts(marked)
        assert refused(run("restore", *words), told)
        assert texts(marked) == before

    def test_no_mark(self, run: Runs, here: Path, git: Git) -> None:
        write(here, FILES)
        git("add", ".")
        git("commit", "--quiet", "--message=as it prints")
        assert refused(
            run("restore", "--all"), "no commit of this branch is marked (good/…): mark one after "
        )

    def test_a_link_that_leads_out(self, run: Runs, marked: Path, tmp_path: Path, git: Git) -> None:
        away = tmp_path / "away.ini"
        away.write_text(BED.replace("110", "130"))
        (marked / "parts" / "bed.ini").unlink()
        (marked / "parts" / "bed.ini").symlink_to(away)
        (marked / "cfgaudit.toml").write_text(f'[includes]\noutside = ["{away}"]\n')
        ran = run("restore", "heater bed:highest")
        assert ran.status == 2
        assert away.read_text() == BED.replace("110", "130")


class TestConflicts:
    def test_an_edit_on_top_of_a_committed_change_is_not_lost(
        self, run: Runs, marked: Path, git: Git
    ) -> None:
        edit(marked, "main.ini", ("300 mm ", "330 mm "), ("3000", "4000"))
        git("commit", "--quiet", "--all", "--message=longer")
        now = edit(marked, "main.ini", ("330 mm ", "340 mm "))
        told = "axis x:highest: the present value is in no commit and would be lost: git commit it first, or "
        for words in (("axis x:highest",), ("--all",), ("--concern", "motion")):
            assert refused(run("restore", *words), told)
        assert texts(marked)["main.ini"] == now
        assert run("restore", "motion:top acceleration").status == 0
        assert texts(marked)["main.ini"] == now.replace("4000", "3000")
        assert run("restore", "axis x:highest", "--over-edits").status == 0
        assert texts(marked) == FILES

    def test_an_edit_that_is_all_there_is_may_be_undone(self, run: Runs, marked: Path, git: Git) -> None:
        edit(marked, "main.ini", ("3000", "4000"))
        git("commit", "--quiet", "--all", "--message=faster")
        edit(marked, "main.ini", ("300 mm ", "340 mm "))
        assert run("restore", "axis x:highest").status == 0

    def test_what_is_committed_can_always_go_back(self, run: Runs, marked: Path, git: Git) -> None:
        edit(marked, "main.ini", ("300 mm ", "330 mm "))
        git("commit", "--quiet", "--all", "--message=longer")
        assert run("restore", "axis x:highest").status == 0
        assert texts(marked) == FILES

    def test_a_third_content_in_the_index(self, run: Runs, marked: Path, git: Git) -> None:
        edit(marked, "main.ini", ("300 mm ", "330 mm "))
        git("add", "main.ini")
        now = edit(marked, "main.ini", ("330 mm ", "340 mm "))
        told = "main.ini: what is staged is neither what is on disk nor what was committed last: "
        assert refused(run("restore", "axis x:highest"), told)
        assert texts(marked)["main.ini"] == now
        staged = git("show", ":main.ini")
        assert run("restore", "axis x:highest", "--over-edits").status == 0
        assert texts(marked) == FILES
        assert git("show", ":main.ini") == staged, "the index is not touched"

    def test_what_stays_staged_is_told(self, run: Runs, marked: Path, git: Git) -> None:
        edit(marked, "main.ini", ("300 mm ", "330 mm "))
        git("add", "main.ini")
        ran = run("restore", "axis x:highest")
        assert ran.status == 0
        assert "main.ini: what is undone here is staged still; git add it again before" in ran.out
        git("add", "main.ini")
        assert git("status", "--porcelain") == ""

    def test_the_index_of_another_file_is_nobody_s_business(self, run: Runs, marked: Path, git: Git) -> None:
        edit(marked, "parts/bed.ini", ("110", "130"))
        git("add", ".")
        edit(marked, "parts/bed.ini", ("130", "120"))
        edit(marked, "main.ini", ("300 mm ", "330 mm "))
        assert run("restore", "axis x:highest").status == 0


class TestReport:
    def test_findings_that_went_and_came(self, run: Runs, marked: Path, git: Git) -> None:
        edit(marked, "main.ini", ("lowest  = 0 mm", "lowest  = 400 mm"))
        ran = run("restore", "axis x:lowest")
        assert "1 finding gone, none new." in ran.out
        git("commit", "--quiet", "--allow-empty", "--message=nothing")
        edit(marked, "parts/bed.ini", ("110", "130"))
        git("commit", "--quiet", "--all", "--message=hotter")
        git("tag", "--annotate", "good/2026-11-12", "--message=two")
        edit(marked, "parts/bed.ini", ("lowest      = 5 °C", "lowest      = 140 °C"))
        git("commit", "--quiet", "--all", "--message=wrong")
        git("tag", "--annotate", "good/2026-11-13", "--message=three")
        edit(marked, "parts/bed.ini", ("140 °C", "5 °C"))
        ran = run("restore", "heater bed:lowest", "--from", "good/2026-11-13")
        assert re.search(r"No finding gone, \d+ new\.\n  \w+: .*\n", ran.out)
        assert "limits-inverted" in ran.out

    @pytest.mark.parametrize("columns", [40, 80, 120])
    def test_no_line_is_wider_and_no_letter_is_lost(self, run: Runs, marked: Path, columns: int) -> None:
        long = "; " + "the long ruler, read by Tomas and written by Noor, " * 4
        edit(marked, "main.ini", ("300 mm     ; by the long ruler", "330 mm " + long))
        ran = run("restore", "--all", "--dry-run", columns=columns)
        assert max(map(len, ran.out.splitlines())) <= columns
        removed = "".join(line[1:] for line in ran.out.splitlines()[2:] if line.startswith("-"))
        assert removed == f"highest = 330 mm {long}".rstrip()

    def test_what_a_terminal_would_act_on_is_written_out(self, run: Runs, marked: Path) -> None:
        edit(marked, "main.ini", ("300 mm     ; by the long ruler", "330 mm ; \x1b[2J\u202e"))
        ran = run("restore", "--all", "--dry-run")
        assert "-highest = 330 mm ; \\x1b[2J\\u202e\n" in ran.out
        assert "\x1b" not in ran.out


class TestIncludes:
    GONE = ("%include parts/bed.ini\n", "")

    @pytest.mark.parametrize("more", [(), ("--dry-run",)])
    def test_a_file_that_is_left_out_but_there_is_told_of(
        self, run: Runs, marked: Path, more: tuple[str, ...]
    ) -> None:
        """A directive is no setting: what the file said goes into the main file, and that is said."""
        edit(marked, "main.ini", self.GONE)
        told = " ".join(run("restore", "--all", *more).out.split())
        assert "parts/bed.ini is still there, but nothing includes it now" in told
        assert "write its directive and restore anew" in told
        assert ("[heater bed]" in texts(marked)["main.ini"]) == (not more)
        edit(marked, "main.ini", ("[motion]", "%include parts/bed.ini\n[motion]"))
        assert run("restore", "--all").status == 0
        assert "[heater bed]" not in texts(marked)["main.ini"]
        assert "all is as it was" in run("restore", "--all").out

    def test_one_that_is_gone_is_not(self, run: Runs, marked: Path) -> None:
        edit(marked, "main.ini", self.GONE)
        (marked / "parts" / "bed.ini").unlink()
        ran = run("restore", "--all")
        assert ran.status == 0
        assert "still there" not in ran.out
        assert "[heater bed]" in texts(marked)["main.ini"]

    def test_nor_one_of_which_nothing_is_put_back(self, run: Runs, marked: Path) -> None:
        edit(marked, "main.ini", self.GONE, ("300 mm     ; by", "330 mm  ; by"))
        assert "still there" not in run("restore", "axis x:highest").out


def test_the_demo_s_planted_value(run: Runs, here: Path) -> None:
    """The upgrade raises Y's acceleration tenfold; one command takes back that line and nothing else."""
    assert run("demo", "heron").status in (0, 1)
    gantry = here / "heron" / "gantry.ini"
    before = gantry.read_bytes()
    ran = run("restore", "axis y:top acceleration", "--main", "heron")
    assert ran.status == 0
    old, new = before.split(b"\n"), gantry.read_bytes().split(b"\n")
    assert [(left, right) for left, right in zip(old, new, strict=True) if left != right] == [
        ("top acceleration = 50000 mm/s²".encode(), "top acceleration = 4500 mm/s²".encode())
    ]
