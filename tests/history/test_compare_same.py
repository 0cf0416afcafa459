"""A machine written otherwise is the same machine; one known edit of it is one change.

The reformatting is done on the lines by the tests themselves, so that nothing of the program is believed.
"""

from __future__ import annotations

import random
import re

from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.audit import audit_text
from cfgaudit.history.change import ChangeKind
from cfgaudit.history.comparing.compare import compare_machines
from tests.history.machines import STORK, TEAL, Files, compare

OTHERWISE = {
    "1.0 A": ("1000 mA", "1 A", "1.00 A"),
    "0.5 A": ("500 mA", "0.50 A"),
    "20 s": ("20.0 s", "20000 ms"),
    "40 mm/s": ("2400 mm/min", "40.0 mm/s"),
    "80 %": ("0.8", "80.0 %"),
    "9 x 9": ("9, 9", "9,9"),
    "30, 30": ("30 ,30", "30 x 30"),
    "yes": ("on", "true"),
    "105": ("105.0", "105.00"),
    "4700": ("4.7k", "4700.0"),
    "main.PE2": ("main.PE_2", "main.pe2"),
}
SECTION = re.compile(r"^(?=\[)", re.MULTILINE)
SEEDS = st.integers(min_value=0, max_value=2**32)


def blocks(text: str) -> list[str]:
    """What stands before any header, then each section with its lines."""
    return SECTION.split(text)


def rewritten(files: Files, seed: int) -> Files:
    """Sections and settings in other places, values, white space and comments written otherwise."""
    dice = random.Random(seed)
    heads = {path: blocks(text)[0] for path, text in files.items()}
    sections = [block for text in files.values() for block in blocks(text)[1:]]
    dice.shuffle(sections)
    found = dict(heads)
    for section in sections:
        path = dice.choice(list(files))
        found[path] += respelled(section, dice)
    return found


def respelled(section: str, dice: random.Random) -> str:
    header, *lines = section.rstrip("\n").split("\n")
    if not any(line.startswith(" ") for line in lines):
        dice.shuffle(lines)
    mark = ";" if "= " in section else "#"
    done = [f"{header}   {mark} {dice.random()}" if dice.random() < 0.3 else header]
    for line in lines:
        if dice.random() < 0.2 and not line.startswith(" "):
            done += [f"{mark} said {dice.random()}", ""]
        done.append(respaced(line, dice))
    return "\n".join([*done, ""]) + "\n" * dice.randrange(3)


def respaced(line: str, dice: random.Random) -> str:
    if line.startswith(" "):
        return line.replace(" ", "  ", 1)
    key, sign, value = re.fullmatch(r"(.*?)(\s*[=:]\s*)(.*)", line).groups()  # type: ignore[union-attr]
    if value in OTHERWISE and dice.random() < 0.7:
        value = dice.choice(OTHERWISE[value])
    return f"{key}{' ' * dice.randrange(3)}{sign.strip()}{' ' * dice.randrange(1, 4)}{value}".rstrip()


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_a_machine_written_otherwise_has_not_changed(seed: int) -> None:
    for files in (STORK, TEAL):
        after = rewritten(files, seed)
        assert [(one.kind, one.address, one.before, one.after) for one in compare(files, after)] == []


NUMBER = re.compile(r"^(?P<key>[\w ]+?)(?P<sign>\s*[=:]\s*)(?P<value>-?\d+(?:\.\d+)?)(?P<unit> .*)?$")
PLACES = [
    (path, number)
    for path, text in STORK.items()
    for number, line in enumerate(text.split("\n"))
    if NUMBER.match(line)
]


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(PLACES), st.integers(min_value=1, max_value=500), SEEDS)
def test_one_number_changed_is_one_change(place: tuple[str, int], more: int, seed: int) -> None:
    """Whatever else is written otherwise: the change names the setting, and both values as written."""
    path, number = place
    lines = STORK[path].split("\n")
    match = NUMBER.match(lines[number])
    assert match is not None
    header = next(line for line in reversed(lines[:number]) if line.startswith("["))[1:-1]
    value = f"{float(match['value']) + more}{match['unit'] or ''}"
    lines[number] = f"{match['key']}{match['sign']}{value}"
    found = compare(STORK, rewritten({**STORK, path: "\n".join(lines)}, seed))
    assert [(one.kind, one.address) for one in found] == [
        (ChangeKind.CHANGED, f"{header}:{match['key'].strip()}")
    ]
    assert found[0].before is not None
    assert found[0].after is not None
    assert found[0].before.value == f"{match['value']}{match['unit'] or ''}"
    assert found[0].after.value == value


@settings(max_examples=40, deadline=None)
@given(st.lists(st.sampled_from(PLACES), unique=True, max_size=4), SEEDS)
def test_the_way_back_mirrors_what_came_and_went(places: list[tuple[str, int]], seed: int) -> None:
    """Lines taken away: swapped arguments give the same addresses, sides and kinds mirrored."""
    after = {
        path: "\n".join(line for at, line in enumerate(text.split("\n")) if (path, at) not in places)
        for path, text in STORK.items()
    }
    one, other = audit_text(STORK).subject, audit_text(rewritten(after, seed)).subject
    mirror = {ChangeKind.ADDED: ChangeKind.REMOVED, ChangeKind.REMOVED: ChangeKind.ADDED}
    there = {(mirror.get(each.kind, each.kind), each.address) for each in compare_machines(one, other)}
    back = {(each.kind, each.address) for each in compare_machines(other, one)}
    assert there == back
    assert len(back) == len(places)


SCRAPS = st.sampled_from(
    [
        *("[fan a]", "[heater bed]", "[aliases x]", "[motor x]", "[", ";-- [fan a]", "%include m.ini"),
        *("pin = PA1", "pin = !PA1", "a = PB2", "runs with = heater bed", "highest = 1", "= 3"),
        *("body =\n  G1 X1", ";-- pin = PA2", "speed = ${x}", "gear ratio = 1:0", "gear ratio = 3:1, 2:1"),
    ]
)


@settings(max_examples=100, deadline=None)
@given(st.lists(SCRAPS, max_size=14), st.lists(SCRAPS, max_size=14))
def test_any_two_texts_compare(before: list[str], after: list[str]) -> None:
    """Never an error, nothing between a text and itself, and every change has a side and a place."""
    one = audit_text({"m.ini": "\n".join(before)}).subject
    other = audit_text({"m.ini": "\n".join(after)}).subject
    assert compare_machines(one, one) == ()
    for each in compare_machines(one, other):
        assert each.before is not None or each.after is not None
        assert each.before != each.after
