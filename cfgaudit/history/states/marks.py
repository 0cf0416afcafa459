"""Marks: annotated tags ``good/<date>`` that declare a commit known-good, with what was measured then."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import NamedTuple

from cfgaudit.history.change import Mark
from cfgaudit.history.git.commit_record import Identity, read_identity, read_record
from cfgaudit.history.git.repository import Repository
from cfgaudit.history.states.mark_message import MEASURED as MEASURED
from cfgaudit.history.states.mark_message import Message, read_message, write_message
from cfgaudit.source import SourceError

PREFIX = "good/"
TAGS = "refs/tags/"
TRIES = 100
"""How many names are tried where others mark at the same moment."""
NO_IDENTITY = (
    "git does not know who you are: git config --global user.name 'Your Name', then "
    "git config --global user.email you@example.org"
)


class _Tag(NamedTuple):
    """An annotated tag as it is stored."""

    target: str
    kind: str
    tagger: str
    message: str


def read_marks(repository: Repository, reachable_from: str | None = None) -> tuple[Mark, ...]:
    """Every mark, newest first; of commits that ``reachable_from`` (a full id) holds if it is given.

    Tags without a message, and tags on what is no commit, are no marks.
    """
    merged = [f"--merged={reachable_from}"] if reachable_from else []
    form = "--format=%(objecttype) %(objectname) %(refname)"
    listed = repository.run("for-each-ref", form, *merged, TAGS + PREFIX).decode("utf-8", "surrogateescape")
    records = (line.split(" ", 2) for line in listed.split("\n") if line)
    marks = (_mark(repository, ref.removeprefix(TAGS), name) for kind, name, ref in records if kind == "tag")
    return tuple(sorted(filter(None, marks), key=_age, reverse=True))


def nearest_mark(repository: Repository, marks: Sequence[Mark]) -> Mark:
    """Of marks that one commit holds the one that is nearest to it: no other one came after it.

    Of several (a merge brings them together, or a commit is marked twice) the newest.
    """
    commits = {one.commit for one in marks}
    if len(commits) > 1:
        commits = set(repository.run("merge-base", "--independent", *sorted(commits)).decode().split())
    return max((one for one in marks if one.commit in commits), key=_age)


def make_mark(repository: Repository, commit: str, message: Message) -> Mark:
    """Mark a commit (a full id). Raises SourceError where git has no name for its user, or cannot write.

    The tag is written as an object and a reference: nothing signs it, no editor opens and no hook runs.
    """
    tagger, (author, _, date) = _tagger(repository)
    for name in _free_names(repository, f"{PREFIX}{date.date().isoformat()}"):
        text = f"object {commit}\ntype commit\ntag {name}\ntagger {tagger}\n\n{write_message(message)}"
        tag = repository.run("mktag", data=text.encode("utf-8", "surrogateescape")).decode("ascii").strip()
        if _name_it(repository, name, tag):
            return Mark(name, commit, date, author, message.note, message.measured)
    raise SourceError("git gives the new mark no name: run git fsck, and try again")


def _name_it(repository: Repository, name: str, tag: str) -> bool:
    """Whether the name is the tag's now; not where somebody else took it a moment before."""
    try:
        repository.run("update-ref", "--no-deref", TAGS + name, tag, "0" * len(tag))
    except SourceError:
        if name in _names(repository):
            return False
        if PREFIX.rstrip("/") in _names(repository):
            told = (
                "a tag named good stands in the way of good/…: rename it, git tag NEW good; git tag -d good"
            )
            raise SourceError(told) from None
        raise
    return True


def _free_names(repository: Repository, day: str) -> Iterator[str]:
    """``good/2026-11-10``, ``good/2026-11-10.2`` …: those that no tag has, nor a folder of tags."""
    taken = _names(repository)
    taken |= {name.rpartition("/")[0] for name in taken}
    names = (day if number == 1 else f"{day}.{number}" for number in range(1, len(taken) + 2 + TRIES))
    return (name for name in names if name not in taken)


def _names(repository: Repository) -> set[str]:
    listed = repository.run("for-each-ref", "--format=%(refname:lstrip=2)", TAGS)
    return set(listed.decode("utf-8", "surrogateescape").split("\n"))


def _tagger(repository: Repository) -> tuple[str, Identity]:
    """Who marks, and when, as git writes it and as it means. Raises SourceError if git does not know."""
    try:
        told = repository.run("var", "GIT_COMMITTER_IDENT").decode("utf-8", "surrogateescape").strip("\n")
    except SourceError as error:
        raise SourceError(NO_IDENTITY) from error
    identity = read_identity(told)
    if identity is None:
        raise SourceError(NO_IDENTITY)
    return told, identity


def _mark(repository: Repository, name: str, tag: str) -> Mark | None:
    """The mark that a tag is; a tag of a tag marks what the last one is on. None if that is no commit."""
    first = read = _read_tag(repository, tag)
    while read.kind == "tag":
        read = _read_tag(repository, read.target)
    tagger = read_identity(first.tagger)
    if read.kind != "commit" or tagger is None:
        return None
    message = read_message(first.message)
    return Mark(name, read.target, tagger.date, tagger.name, message.note, message.measured)


def _read_tag(repository: Repository, tag: str) -> _Tag:
    fields, message = read_record(repository.read_object(tag)[1])
    return _Tag(fields.get("object", ""), fields.get("type", ""), fields.get("tagger", ""), message)


def _age(mark: Mark) -> tuple[datetime, int, str]:
    """What marks are ordered by: their time, then the number behind the day."""
    number = mark.name.rpartition(".")[2]
    return mark.date, int(number) if number.isascii() and number.isdigit() else 1, mark.name
