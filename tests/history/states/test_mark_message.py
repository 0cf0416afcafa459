"""What a mark says: git's own interpret-trailers reads the measured values, and the note comes back whole.

Source: git-interpret-trailers(1). Whatever the note holds, git must find exactly our trailers.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from cfgaudit.history.states.mark_message import Message, checked, read_message, write_message
from cfgaudit.source import SourceError
from history.real_git import git

CUT = "------------------------ >8 ------------------------"
LINES = (
    "a vase, 14 hours",
    "",
    "   ",
    "# a comment",
    f"# {CUT}",
    f" ; {CUT}",
    CUT,
    "---",
    " ---",
    "--- a patch",
    "-----BEGIN PGP SIGNATURE-----",
    "-----BEGIN SSH SIGNATURE-----",
    "Measured: ringing=1",
    " measured : ringing=1",
    "MEASURED:x",
    "Tested-by: Odile",
    "Signed-off-by: Odile <odile@example.org>",
    "(cherry picked from commit 1234)",
    "  more of the line above",
    "Conflicts:",
    "\tmain.ini",
    "key: value",
    "tab\there",
)
TEXTS = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20)
BYTES = st.binary(max_size=8).map(lambda data: data.replace(b"\0", b"").decode("utf-8", "surrogateescape"))
NOTES = st.lists(st.one_of(st.sampled_from(LINES), TEXTS, BYTES), min_size=1, max_size=7).map("\n".join)
WORDS = st.one_of(
    TEXTS, BYTES, st.sampled_from(["ringing", "0.08 mm", "a: b", "#1", "20 °C", "---", "=", "x=y"])
)


def readable(text: str) -> bool:
    """Whether a text can be a name or a value: something, on one line."""
    return bool(text.strip()) and "".join(text.splitlines()) == text


NAMES = WORDS.filter(lambda text: readable(text) and "=" not in text)
VALUES = WORDS.filter(readable)
PAIRS = st.lists(st.tuples(NAMES, VALUES), max_size=3)
SLOW = settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))


def told_by_git(folder: Path, text: str) -> list[str]:
    data = text.encode("utf-8", "surrogateescape")
    return git(folder, "interpret-trailers", "--parse", data=data).split("\n")


@SLOW
@given(note=NOTES.filter(str.strip), pairs=PAIRS)
@example(note="Measured: ringing=1", pairs=[])
@example(note="fine\n\nMeasured: ringing=1", pairs=[])
@example(note="fine\n\nTested-by: Odile\nMeasured: ringing=1", pairs=[])
@example(note=f"fine\n# {CUT}\nmore\n", pairs=[("a", "b")])
@example(note="---", pairs=[("a", "b")])
@example(note="# only\n# comments", pairs=[("a", "b")])
@pytest.mark.usefixtures("only_the_tests_git")
def test_git_finds_what_was_measured_and_we_the_note(
    tmp_path_factory: pytest.TempPathFactory, note: str, pairs: list[tuple[str, str]]
) -> None:
    said = checked(note, [f"{name}={value}" for name, value in pairs])
    text = write_message(said)
    assert text.endswith("\n")
    stripped = tuple((name.strip(), value.strip()) for name, value in pairs)
    assert said.measured == stripped
    assert read_message(text) == Message(note.replace("\r\n", "\n").replace("\r", "\n").strip(), stripped)
    found = told_by_git(tmp_path_factory.getbasetemp(), text)
    ours = [line for line in found if line.startswith("Measured:")]
    assert ours == [f"Measured: {name}={value}" for name, value in stripped]
    if pairs:
        assert found == ours


def test_what_is_kept_word_for_word(tmp_path: Path) -> None:
    text = write_message(checked("a vase\n\n14 hours", ["ringing=0.08 mm", "top = 250=mm/s"]))
    assert text == "a vase\n\n14 hours\n\nMeasured: ringing=0.08 mm\nMeasured: top=250=mm/s\n"
    assert told_by_git(tmp_path, text) == ["Measured: ringing=0.08 mm", "Measured: top=250=mm/s"]


def test_what_others_write_is_read_as_git_reads_it(tmp_path: Path) -> None:
    text = "a vase\n\nmeasured : ringing =\n  0.08 mm\nTested-by: Odile\nMeasured:top=1\n"
    assert [line.partition(": ")[2] for line in told_by_git(tmp_path, text)] == [
        "ringing = 0.08 mm",
        "Odile",
        "top=1",
    ]
    assert read_message(text) == Message("a vase\n\nTested-by: Odile", (("ringing", "0.08 mm"), ("top", "1")))
    signature = "-----BEGIN PGP SIGNATURE-----\n\nabc\n-----END PGP SIGNATURE-----\n"
    assert read_message(f"a vase\n\nMeasured: a=b\n{signature}") == Message("a vase", (("a", "b"),))
    assert read_message("Measured: a=b\n") == Message("Measured: a=b"), "the first paragraph is a title"


@pytest.mark.parametrize("note", ["", " \n\t", "\0", "a\0b", "\ud800"])
def test_notes_that_are_none(note: str) -> None:
    with pytest.raises(SourceError, match=": ") as caught:
        checked(note)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "text", ["", "=", "a", "a=", "=b", " = ", "a=b\nc", "a\nb=c", "a=b\n", "a=b\r", "a=\u2028b", "a=b\0"]
)
def test_measured_values_that_are_none(text: str) -> None:
    with pytest.raises(SourceError, match=": ") as caught:
        checked("fine", [text])
    assert "\n" not in str(caught.value)
