"""What is put back, and where; every expected text is written by hand."""

from __future__ import annotations

from typing import ClassVar

import pytest

from cfgaudit.audit import understand
from cfgaudit.checks.finding import Subject
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.comparing.selection import changes_at, is_known, nearest_address
from cfgaudit.history.restoring.restore import RestoreError, plan_restore
from cfgaudit.project import Project
from cfgaudit.source import Memory

Files = dict[str, str]
BED = """\
; the first machine

[heater bed]
drive   = main.PB1   ; the thick wires
lowest  = 5 °C
highest = 110 °C     ; the sheet stands no more

; blows over the bed
[fan bed]
drive     = main.PA8
runs with = heater bed, from 40 °C

[reel]
weight = 800 g
"""


def subject(files: Files) -> Subject:
    held = {path: text.encode("utf-8", "surrogateescape") for path, text in files.items()}
    return understand(Memory(held), next(iter(files)), Project())


def put_back(then: Files | str, now: Files | str, *addresses: str) -> dict[str, str]:
    """The files that change when what the addresses name (or all) is put back."""
    before = subject({"main.ini": then} if isinstance(then, str) else then)
    after = subject({"main.ini": now} if isinstance(now, str) else now)
    every = compare_machines(before, after)
    chosen = [one for address in addresses for one in changes_at(every, address)] if addresses else every
    assert chosen, f"one of {[each.address for each in every]} is meant"
    files = plan_restore(chosen, before, after, every).files
    return {path: data.decode("utf-8", "surrogateescape") for path, data in files.items()}


def one_back(then: str, now: str, *addresses: str) -> str:
    files = put_back(then, now, *addresses)
    assert list(files) == ["main.ini"]
    return files["main.ini"]


class TestValues:
    def test_only_the_value_goes_back_and_the_comment_of_today_stays(self) -> None:
        now = BED.replace("110 °C     ; the sheet stands no more", "130 °C  ; new sheet")
        expected = BED.replace("110 °C     ; the sheet stands no more", "110 °C  ; new sheet")
        assert one_back(BED, now, "heater bed:highest") == expected

    def test_bytes_line_ends_and_mark_stay(self) -> None:
        now = "\ufeff; \udcff\r\n[heater bed]\r\nhighest:130 \r\nmaker: \udce9t\udce9"
        then = now.replace("130", "110")
        assert one_back(then, now) == then

    def test_a_value_of_several_lines(self) -> None:
        then = "[macro park]\nbody =\n    G28\n    G0 X0 Y0 F6000\n    M84\n"
        now = "[macro park]\nbody =\n    G28 ; all\n    G0 X0 Y400 F6000\n    ; wait\n    G4 P500\n    M84\n"
        expected = "[macro park]\nbody =\n    G28 ; all\n    G0 X0 Y0 F6000\n    ; wait\n    M84\n"
        assert one_back(then, now) == expected

    def test_one_of_several_changes(self) -> None:
        now = BED.replace("110", "130").replace("lowest  = 5", "lowest  = 0")
        assert one_back(BED, now, "heater bed:lowest") == BED.replace("110", "130")

    def test_a_setting_that_is_gone_comes_back_as_its_line_was(self) -> None:
        line = "lowest  = 5 °C\n"
        assert one_back(BED, BED.replace(line, "")) == BED
        line = "drive   = main.PB1   ; the thick wires\n"
        assert one_back(BED, BED.replace(line, "")) == BED

    def test_with_the_comments_above_it(self) -> None:
        told = "; measured\n;   in the kitchen\n"
        then = BED.replace("weight = 800 g\n", f"weight = 800 g\n{told}empty = 200 g\n; by hand\nloops = 3\n")
        lost = told + "empty = 200 g\n"
        assert one_back(then, then.replace(lost, "")) == then
        assert one_back(then, then.replace(lost, "").replace("loops = 3\n", "")) == then
        assert one_back(then, then.replace(f"{lost}; by hand\nloops = 3\n", "")) == then

    def test_below_the_comments_above_it_that_stayed(self) -> None:
        then = BED.replace("lowest", "\n; the room\n; gets cold\nlowest")
        assert one_back(then, then.replace("lowest  = 5 °C\n", "")) == then
        then = BED.replace("drive   =", "; to the relay\ndrive   =")
        assert one_back(then, then.replace("drive   = main.PB1   ; the thick wires\n", "")) == then

    def test_with_a_comment_that_another_has_as_well(self) -> None:
        line = "; by hand\nloops = 3\n"
        then = BED.replace("weight", "; by hand\nweight") + line
        assert one_back(then, then.replace(line, "")) == then

    def test_what_a_file_begins_with_is_no_comment_of_it(self) -> None:
        then = "; the reel\nweight = 800 g\nempty = 200 g\n"
        assert one_back(then, "; a reel\nempty = 200 g\n") == "; a reel\nweight = 800 g\nempty = 200 g\n"

    @pytest.mark.parametrize("top", ["", "; the reel\n\n", "; the reel\n", "\n\n", "%include a.ini\n\n"])
    def test_what_stood_first_above_all_headers_comes_back_first(self, top: str) -> None:
        lost = "weight = 800 g  ; full\n"
        rest = "; of cardboard\nempty = 200 g\n\n[lamp]\ndrive = PA1\n"
        then = {"main.ini": top + lost + rest, "a.ini": "[fan a]\ndrive = PA2\n"}
        assert put_back(then, {**then, "main.ini": top + rest}) == {"main.ini": then["main.ini"]}

    def test_in_a_file_that_its_section_includes(self) -> None:
        then = {"main.ini": "[reel]\nloops = 3\n%include a.ini\n", "a.ini": "weight = 800 g\nempty = 200 g\n"}
        now = {**then, "a.ini": "empty = 200 g\n"}
        assert put_back(then, now) == {"a.ini": then["a.ini"]}

    def test_among_those_that_no_blank_line_set_it_off_from(self) -> None:
        then = "[reel]\nloops = 3\n\nweight = 800 g\nempty = 200 g\n"
        assert one_back(then, then.replace("weight = 800 g\n", "")) == then
        assert one_back(then, then.replace("empty = 200 g\n", "")) == then

    def test_over_the_one_that_counted_then(self) -> None:
        then = "weight = 700 g\nloops = 3\nweight = 800 g\n\n[lamp]\ndrive = PA1\n"
        now = "weight = 800 g\nloops = 3\n\n[lamp]\ndrive = PA1\n"
        assert one_back(then, now) == f"weight = 700 g\n{now}"

    def test_several_of_one_section_come_back_in_their_order(self) -> None:
        start, end = BED.index("drive   ="), BED.index("highest")
        assert one_back(BED, BED[:start] + BED[end:]) == BED

    def test_into_the_section_where_it_is_now(self) -> None:
        then = {"main.ini": "%include a.ini\n%include b.ini\n", "a.ini": BED, "b.ini": ""}
        now = {**then, "a.ini": "", "b.ini": BED.replace("lowest  = 5 °C\n", "")}
        lost = BED.replace("lowest  = 5 °C\n", "").replace("no more\n", "no more\nlowest  = 5 °C\n")
        assert put_back(then, now) == {"b.ini": lost}

    def test_a_setting_that_is_new_goes(self) -> None:
        now = BED.replace("[reel]\n", "[reel]\n; by the scale in the kitchen\nempty = 200 g ; cardboard\n")
        expected = BED.replace("[reel]\n", "[reel]\n; by the scale in the kitchen\n")
        assert one_back(BED, now) == expected

    def test_another_key_for_the_same(self) -> None:
        now = BED.replace("highest =", "top temperature =").replace("110", "120")
        assert one_back(BED, now) == BED


class TestSections:
    def test_a_section_that_is_gone_comes_back_with_its_comments(self) -> None:
        start, end = BED.index("; blows"), BED.index("[reel]")
        assert one_back(BED, BED[:start] + BED[end:]) == BED

    @pytest.mark.parametrize("top", ["", "; two things\n\n", "loops = 3\n\n", "%include a.ini\n\n"])
    @pytest.mark.parametrize(
        "below", ["[reel]\nweight = 800 g\n", "%include b.ini\n", "; b\n%include b.ini\n"]
    )
    def test_between_the_sections_and_directives_where_it_stood(self, top: str, below: str) -> None:
        lost = "[lamp]\ndrive = PA1\n\n"
        end = f"{below}\n[fan c]\ndrive = PA4\n"
        others = {"a.ini": "[fan a]\ndrive = PA2\n", "b.ini": "[fan b]\ndrive = PA3\n"}
        then = {"main.ini": top + lost + end, **others}
        assert put_back(then, {**then, "main.ini": top + end}) == {"main.ini": then["main.ini"]}

    def test_above_the_comments_of_the_one_below(self) -> None:
        """The file begins with them, but they were the section's."""
        start = BED.index("[reel]")
        reel = f"; of cardboard\n{BED[start:]}"
        lost = "[lamp]\ndrive = PA1\n\n"
        assert one_back(lost + reel, reel) == lost + reel

    def test_not_between_a_directive_and_what_belongs_to_the_section_before(self) -> None:
        """Behind the directive it would take the lamp's setting away."""
        lost = "[reel]\nweight = 800 g\n"
        then = {"main.ini": f"[lamp]\ndrive = PA1\n%include a.ini\n{lost}", "a.ini": "colour = warm\n"}
        now = {**then, "main.ini": "[lamp]\ndrive = PA1\n%include a.ini\nmode = 3\n"}
        found = put_back(then, now, "reel")
        assert found == {"main.ini": f"{now['main.ini']}\n{lost}"}

    def test_into_the_main_file_if_its_own_is_no_more(self) -> None:
        then = {"main.ini": "%include a.ini\n\n[reel]\nweight = 800 g\n", "a.ini": "[lamp]\ndrive = PA1 ; \n"}
        now = {"main.ini": "[reel]\nweight = 800 g\n"}
        assert put_back(then, now) == {"main.ini": "[reel]\nweight = 800 g\n\n[lamp]\ndrive = PA1 ; \n"}

    def test_one_that_is_new_goes_with_its_comments(self) -> None:
        new = "; from the workshop in Kiel\n[lamp front]\ndrive = main.PA9\n\n"
        assert one_back(BED, BED.replace("[reel]", new + "[reel]"), "lamp front") == BED

    def test_one_that_is_new_in_several_files(self) -> None:
        main = "%include a.ini\n\n[reel]\nweight = 800 g\n"
        then = {"main.ini": main, "a.ini": "[fan a]\ndrive = PA1\n"}
        now = {
            "main.ini": main + "\n[lamp]\ndrive = PA2\n",
            "a.ini": "[lamp]\ndrive = PA3\n\n[fan a]\ndrive = PA1\n",
        }
        assert put_back(then, now) == then

    def test_all_of_one_section(self) -> None:
        now = BED.replace("110", "130").replace("lowest  = 5", "lowest  = 0").replace("800", "900")
        assert one_back(BED, now, "heater bed") == BED.replace("800", "900")


class TestNames:
    NOW = BED.replace("[heater bed]", "[heater table]").replace("heater bed,", "heater table,")

    def test_who_names_a_section_follows_its_name(self) -> None:
        assert one_back(BED, self.NOW, "heater bed") == BED

    def test_and_keeps_what_else_was_changed(self) -> None:
        now = self.NOW.replace("from 40", "from 45").replace("110", "130")
        after, before = subject({"main.ini": now}), subject({"main.ini": BED})
        every = compare_machines(before, after)
        rename = [one for one in every if one.kind == "renamed"]
        files = plan_restore(rename, before, after, every).files
        assert files["main.ini"].decode() == BED.replace("from 40", "from 45").replace("110", "130")

    def test_who_is_new_and_names_it_follows_too(self) -> None:
        new = "\n[guard table]\nwatches = heater table\n"
        files = put_back(BED, self.NOW + new, "heater table")
        assert files["main.ini"] == BED + new.replace("heater table", "heater bed")

    def test_a_value_that_goes_back_keeps_to_the_name_that_stays(self) -> None:
        now = self.NOW.replace("from 40", "from 45")
        assert one_back(BED, now, "fan bed:runs with") == self.NOW

    def test_a_board_and_its_pins(self) -> None:
        then = "[board main]\nchip = LPC1768\n\n[fan a]\ndrive = main.P1.20\n\n[fan b]\ndrive = !main.P1.21\n"
        now = then.replace("main", "lower")
        assert one_back(then, now) == then

    def test_an_alias_and_its_users(self) -> None:
        then = "[names plugs]\nleft plug = PA1\nright plug = PA2\n\n[fan a]\npin = left plug\n"
        then = then.replace("left plug", "leftPlug").replace("right plug", "rightPlug")
        now = then.replace("leftPlug", "frontPlug")
        assert one_back(then, now) == then

    def test_several_aliases_in_one_value(self) -> None:
        then = "[names plugs]\nplugs = leftPlug = PA1, rightPlug = PA2\n\n[fan a]\npin = leftPlug\n"
        now = then.replace("leftPlug", "frontPlug")
        assert one_back(then, now) == then

    def test_a_macro_and_who_calls_it(self) -> None:
        park = "[macro park-left]\nbody =\n    G91\n    G0 X-300 Y12 F4500\n    G90\n"
        then = park + "\n[macro finish]\nbody =\n    M104 S0\n    park-left\n    M84\n"
        now = then.replace("park-left", "step-aside")
        assert one_back(then, now) == then


class TestMachineWritten:
    HAND = "[heater bed]\ndrive = PB1\nsteady = 20\n"
    BLOCK = "\n;~ measured, do not edit\n;~ [heater bed]\n;~ steady = 22.5\n;~ [probe]\n;~ height = 1.2\n"

    def test_a_value_in_the_block(self) -> None:
        then = self.HAND + self.BLOCK
        assert one_back(then, then.replace("22.5", "31.8")) == then

    def test_a_block_that_is_new_goes(self) -> None:
        now = self.HAND + self.BLOCK
        assert one_back(self.HAND, now, "heater bed") == self.HAND + self.BLOCK.replace(
            ";~ [heater bed]\n;~ steady = 22.5\n", ""
        )

    def test_a_value_that_left_the_block_goes_back_there(self) -> None:
        then = self.HAND + self.BLOCK
        now = then.replace(";~ [heater bed]\n;~ steady = 22.5\n", "")
        again = ";~ [heater bed]\n;~ steady = 22.5\n"
        assert one_back(then, now, "heater bed") == now + again

    def test_a_hand_written_value_in_place_of_the_machine_s(self) -> None:
        then = {"main.ini": "%include a.ini\n", "a.ini": self.HAND}
        block = ";~ [heater bed]\n;~ steady = 22.5\n"
        now = {
            "main.ini": "%include a.ini\n\n[heater bed]\ndrive = PB1\n\n" + block,
            "a.ini": "[reel]\nweight = 1\n",
        }
        files = put_back(then, now, "heater bed")
        assert files == {"main.ini": "%include a.ini\n\n[heater bed]\ndrive = PB1\nsteady = 20\n"}

    def test_the_hand_written_value_below_is_put_back_with_it(self) -> None:
        then = self.HAND + self.BLOCK
        assert one_back(then, self.HAND.replace("20", "25"), "heater bed") == self.HAND + (
            "\n;~ [heater bed]\n;~ steady = 22.5\n"
        )


class TestShadowed:
    FILES: ClassVar = {
        "main.ini": "%include a.ini\n%include b.ini\n",
        "a.ini": "[heater bed]\nhighest = 110\n",
        "b.ini": "[heater bed]\nhighest = 120\n",
    }

    def test_a_value_without_effect(self) -> None:
        now = {**self.FILES, "a.ini": "[heater bed]\nhighest = 100\n"}
        assert put_back(self.FILES, now) == {"a.ini": self.FILES["a.ini"]}

    def test_a_value_that_came_over_the_old_one_goes(self) -> None:
        then = {**self.FILES, "b.ini": "[heater bed]\nlowest = 5\n"}
        now = {**self.FILES, "b.ini": "[heater bed]\nlowest = 5\nhighest = 130\n"}
        assert put_back(then, now) == {"b.ini": then["b.ini"]}

    def test_a_value_that_is_gone_from_over_another_comes_back(self) -> None:
        now = {**self.FILES, "b.ini": "[heater bed]\n"}
        assert put_back(self.FILES, now) == {"b.ini": self.FILES["b.ini"]}

    def test_in_its_own_file_where_the_section_is_not_opened_any_more(self) -> None:
        now = {**self.FILES, "b.ini": "[reel]\nweight = 800 g\n"}
        then = {**self.FILES, "b.ini": now["b.ini"] + "\n[heater bed]\nhighest = 120\n"}
        assert put_back(then, now) == {"b.ini": then["b.ini"]}

    def test_a_copy_under_a_repeated_header_goes_with_the_header(self) -> None:
        guard = "[guard bed]\nwatches = heater bed\nwithin = 60 s\n"
        copy = "\n[guard bed]\nwatches = heater bed\nwithin = 90 s\n"
        bed = "[heater bed]\ndrive = PB1\n\n"
        assert one_back(bed + guard, bed + guard + copy) == bed + guard

    def test_where_its_file_is_no_more_the_other_gets_it(self) -> None:
        now = {"main.ini": "%include a.ini\n", "a.ini": self.FILES["a.ini"]}
        assert put_back(self.FILES, now) == {"a.ini": "[heater bed]\nhighest = 120\n"}


class TestMoved:
    def test_back_into_its_section(self) -> None:
        then = "[heater bed]\ndrive = PB1\nhighest = 110\n\n[guard bed]\nwithin = 60 s\n"
        now = "[heater bed]\ndrive = PB1\n\n[guard bed]\nwithin = 60 s\nhighest = 110\n"
        assert one_back(then, now) == then

    def test_the_main_file_may_have_had_another_name(self) -> None:
        then, now = {"old.ini": BED}, {"new.ini": BED.replace("lowest  = 5 °C\n", "")}
        assert put_back(then, now) == {"new.ini": BED}


def test_what_no_edit_can_put_back() -> None:
    """A mark that the file does not take for one any more: ``!`` began comments then."""
    then = "[reel]\nnote = 5 ; 6\nempty = 2\n"
    now = "[reel]\nempty = 3\n"
    before, after = subject({"main.ini": then}), subject({"main.ini": now})
    every = compare_machines(before, after)
    quoted = [one for one in every if one.setting == "note"]
    old = quoted[0].before
    assert old is not None
    assert plan_restore(quoted, before, after, every).files["main.ini"].decode() == (
        "[reel]\nnote = 5 ; 6\nempty = 3\n"
    )
    shadowed = TestShadowed.FILES
    gone = {**shadowed, "main.ini": "%include b.ini\n"}
    before, after = subject(shadowed), subject(gone)
    every = compare_machines(before, after)
    with pytest.raises(
        RestoreError, match=r"^heater bed:highest: a\.ini has no place for its value without eff"
    ):
        plan_restore(every, before, after, every)


class TestSelection:
    EVERY = compare_machines(
        subject({"main.ini": BED}),
        subject(
            {
                "main.ini": TestNames.NOW.replace("110", "130")
                .replace("lowest", "coldest")
                .replace("800 g", "900 g")
            }
        ),
    )

    @pytest.mark.parametrize(
        ("address", "met"),
        [
            ("heater table:highest", {"heater table:highest"}),
            ("HEATER.table:HIGHEST", {"heater table:highest"}),
            ("heater bed:lowest", {"heater table:coldest"}),
            ("heater*:coldest", {"heater table:coldest"}),
            ("*:*est", {"heater table:coldest", "heater table:highest"}),
            ("reel", {"reel:weight"}),
            ("heater bed", {"heater table", "heater table:coldest", "heater table:highest"}),
            ("fan bed", set()),
            ("highest", set()),
        ],
    )
    def test_addresses(self, address: str, met: set[str]) -> None:
        assert {one.address for one in changes_at(self.EVERY, address)} == met

    def test_names_that_nothing_has(self) -> None:
        trees = [subject({"main.ini": BED}).tree]
        assert is_known(trees, "heater bed:drive")
        assert is_known(trees, "fan bed")
        assert not is_known(trees, "heater bed:weight")
        assert nearest_address(trees, "heater bed:higest").endswith("(did you mean heater bed:highest?)")
        assert nearest_address(trees, "real").endswith("(did you mean reel?)")
