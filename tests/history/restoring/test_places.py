"""Lines are taken out of random files and put back: they stand where they stood."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from history.restoring.test_restore import put_back

KEYS = ("weight", "empty", "loops", "colour", "maker", "bought")
NAMES = ("lamp front", "fan duct", "reel", "table", "drawer")
OTHERS = {f"{name}.ini": f"[box {name}]\nlabel = the box {name}\n" for name in "abcd"}


@st.composite
def stretches(draw: st.DrawFn) -> list[tuple[str, list[str]]]:
    """A header or none, and the lines below it; no two lines of a file are alike."""
    names = ["", *draw(st.lists(st.sampled_from(NAMES), unique=True, min_size=1))]
    included = draw(st.permutations(sorted(OTHERS)))
    found = []
    for rank, name in enumerate(names):
        keys = draw(st.lists(st.sampled_from(KEYS), unique=True, min_size=int(bool(name))))
        lines = [f"{key} = {number}{rank} of {name or 'all'}" for number, key in enumerate(keys)]
        if included and draw(st.booleans()):
            at = len(lines) if name else draw(st.integers(0, len(lines)))
            lines.insert(at, f"%include {included.pop()}")
        found.append((f"[{name}]" if name else "", lines))
    return found


def text_of(found: list[tuple[str, list[str]]], top: str) -> str:
    blocks = ["\n".join([*([header] if header else []), *lines]) for header, lines in found]
    return top + "\n\n".join(block for block in blocks if block) + "\n"


TOPS = st.sampled_from(["", "; all that is in the room\n\n"])


@given(stretches(), TOPS, st.data())
@settings(max_examples=150, deadline=None)
def test_one_setting(found: list[tuple[str, list[str]]], top: str, data: st.DataObject) -> None:
    """Of its section something else stays, so that the section does."""
    able = [
        (rank, line)
        for rank, (header, lines) in enumerate(found)
        for line in lines
        if " = " in line and (not header or sum(" = " in one for one in lines) > 1)
    ]
    if not able:
        return
    rank, lost = data.draw(st.sampled_from(able))
    header, lines = found[rank]
    without = [*found[:rank], (header, [one for one in lines if one != lost]), *found[rank + 1 :]]
    then, now = ({"main.ini": text_of(one, top), **OTHERS} for one in (found, without))
    if then != now and now["main.ini"].count("\n\n") == then["main.ini"].count("\n\n"):
        assert put_back(then, now) == {"main.ini": then["main.ini"]}


@given(stretches(), TOPS, st.data())
@settings(max_examples=150, deadline=None)
def test_one_section(found: list[tuple[str, list[str]]], top: str, data: st.DataObject) -> None:
    """A directive below its settings stays, and is where it was."""
    rank = data.draw(st.integers(1, len(found) - 1))
    header, lines = found[rank]
    stays = [one for one in lines if "include" in one]
    without = [*found[:rank], ("", stays), *found[rank + 1 :]]
    then, now = ({"main.ini": text_of(one, top), **OTHERS} for one in (found, without))
    back = put_back(then, now, header[1:-1])["main.ini"]
    assert [one for one in back.split("\n") if one] == [one for one in then["main.ini"].split("\n") if one]
    if not stays and any(lines for _, lines in without):
        assert back == then["main.ini"]


@given(stretches(), TOPS, st.data())
@settings(max_examples=150, deadline=None)
def test_several_settings(found: list[tuple[str, list[str]]], top: str, data: st.DataObject) -> None:
    """All lines stand in the order in which they stood, whatever becomes of blank ones."""
    able = [one for _, lines in found for one in lines if " = " in one]
    if not able:
        return
    lost = data.draw(st.sets(st.sampled_from(able), min_size=1))
    without = [(header, [one for one in lines if one not in lost]) for header, lines in found]
    then, now = ({"main.ini": text_of(one, top), **OTHERS} for one in (found, without))
    back = put_back(then, now)["main.ini"]
    assert [one for one in back.split("\n") if one] == [one for one in then["main.ini"].split("\n") if one]
