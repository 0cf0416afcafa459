"""Acceptances: a builder's word, for exactly one content of the files, that its dangerous changes are meant.

The content's identity is a blob that lists every file with its digest, in the form that ``sha256sum --check``
reads; the word is a git note on that blob. An edit of any of the files gives another blob, without a note.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta, timezone
from typing import NamedTuple

from cfgaudit.history.change import Change, Side
from cfgaudit.history.git.repository import Repository
from cfgaudit.source import SourceError

NOTES = "refs/notes/accepted-by-builder"
CHANGE, BY, ON = "Accepted-change: ", "Accepted-by: ", "Accepted-on: "
"""How the lines after a reason begin: one a change, then who and when."""
TEXT = ("utf-8", "surrogateescape")
NAMELESS = (
    "git does not know who accepts this: tell it with git config user.name 'NAME' and "
    "git config user.email 'ADDRESS', then run this again"
)


class Word(NamedTuple):
    """One reason, who gave it and when, and the changes that it was given for as `told` writes them."""

    reason: str
    author: str
    date: datetime | None
    changes: frozenset[str]


class Acceptance(NamedTuple):
    """All that was said of one content, the oldest first."""

    content: str
    """The id of the blob that stands for the content."""
    words: tuple[Word, ...]

    def covers(self, change: Change) -> bool:
        """Whether this change was accepted: from this value, to this one."""
        return any(told(change) in one.changes for one in self.words)


def content_text(main: str, files: Mapping[str, bytes]) -> bytes:
    """What the content's blob holds. ``main`` is the main file as seen from the repository's root.

    ``files`` holds all that makes the configuration, by path from the main file's folder.
    """
    listed = sorted((_encoded(path), data) for path, data in files.items())
    head = b"# The configuration of " + _escaped(_encoded(main)) + b"\n"
    return head + b"".join(_digest_line(path, data) for path, data in listed)


def read_acceptance(repository: Repository, content: str) -> Acceptance | None:
    """What was said of the content; None if nothing was. Nothing is written."""
    note = _note(repository, content)
    if note is None:
        return None
    return Acceptance(content, tuple(_words(note.decode(*TEXT))))


def accept(repository: Repository, text: bytes, reason: str, changes: tuple[Change, ...]) -> Acceptance:
    """Record that these changes are meant, after what was said before: nothing of that is lost.

    Raises SourceError if the reason is empty, if git has no name for who says so, or if it cannot write.
    """
    if not reason.strip():
        raise SourceError("an acceptance needs a reason: gate --accept 'why these changes are meant'")
    author, date = _identity(repository)
    lines = [*reason.strip().splitlines(), "", *(f"{CHANGE}{told(one)}" for one in changes)]
    entry = _encoded("\n".join([*lines, f"{BY}{author}", f"{ON}{date.isoformat()}", ""]))
    content = repository.keep(text)
    before = _note(repository, content)
    note = repository.keep(entry if before is None else before.rstrip(b"\n") + b"\n\n" + entry)
    repository.run("notes", f"--ref={NOTES}", "add", "--force", f"--reuse-message={note}", content)
    return Acceptance(content, tuple(_words(repository.blob(note, "the acceptance").decode(*TEXT))))


def told(change: Change) -> str:
    """A change as one line that is the same as long as both values are."""
    address = " ".join(change.address.split())
    return f"{address}: {_shown(change.before)} → {_shown(change.after)}"


def _shown(side: Side | None) -> str:
    """All values of one side; with their settings' names where there are several."""
    if side is None:
        return "nothing"
    if len(side.settings) == 1:
        return " ".join(side.value.split()) or "empty"
    listed = (f"{one.setting} = {' '.join(one.value.split())}" for one in side.settings)
    return "; ".join(listed) or "empty"


def _words(note: str) -> Iterator[Word]:
    """Each entry of a note; lines that are in none of ours accept nothing."""
    reason: list[str] = []
    changes: list[str] = []
    author = ""
    for line in note.split("\n"):
        if line.startswith(CHANGE):
            changes.append(line.removeprefix(CHANGE))
        elif line.startswith(BY):
            author = line.removeprefix(BY)
        elif line.startswith(ON):
            yield Word("\n".join(reason).strip(), author, _date(line.removeprefix(ON)), frozenset(changes))
            reason, changes, author = [], [], ""
        else:
            reason.append(line)


def _date(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None


def _note(repository: Repository, content: str) -> bytes | None:
    listed = repository.run("notes", f"--ref={NOTES}", "list").decode("ascii")
    for note, _, of in (line.partition(" ") for line in listed.splitlines()):
        if of == content:
            return repository.blob(note, "the acceptance")
    return None


def _identity(repository: Repository) -> tuple[str, datetime]:
    """Who git says we are, ``Name <address>``, and what time it is there."""
    try:
        stated = repository.run("var", "GIT_AUTHOR_IDENT").decode(*TEXT).strip()
    except SourceError as error:
        raise SourceError(NAMELESS) from error
    author, seconds, zone = stated.rsplit(" ", 2)
    offset = timedelta(hours=int(zone[1:3]), minutes=int(zone[3:5])) * (-1 if zone[0] == "-" else 1)
    return author, datetime.fromtimestamp(int(seconds), timezone(offset))


def _digest_line(path: bytes, data: bytes) -> bytes:
    """As ``sha256sum`` writes it; a backslash in front says that the name is escaped."""
    shown = _escaped(path)
    return b"\\" * (shown != path) + hashlib.sha256(data).hexdigest().encode() + b"  " + shown + b"\n"


def _escaped(path: bytes) -> bytes:
    return path.replace(b"\\", b"\\\\").replace(b"\n", b"\\n").replace(b"\r", b"\\r")


def _encoded(text: str) -> bytes:
    return text.encode(*TEXT)
