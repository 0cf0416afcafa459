"""Identity lines and dates, as git writes them into commits and tags."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone
from typing import NamedTuple

from cfgaudit.history.git.repository import Repository

IDENTITY = re.compile(r"(.*?) ?<(.*)> (-?\d+) ([+-])(\d\d)(\d\d)", re.DOTALL)


class Identity(NamedTuple):
    """Who did something, and when."""

    name: str
    address: str
    date: datetime


def read_identity(written: str) -> Identity | None:
    """An identity line, ``Ann Builder <ann@example.org> 1795611913 +0100``; None for what is none."""
    match = IDENTITY.fullmatch(written)
    if match is None:
        return None
    name, address, seconds, sign, hours, minutes = match.groups()
    offset = timedelta(hours=int(hours), minutes=int(minutes)) * (-1 if sign == "-" else 1)
    zone = timezone(offset) if abs(offset) < timedelta(days=1) else UTC
    try:
        return Identity(name, address, datetime.fromtimestamp(int(seconds), zone))
    except (ValueError, OverflowError, OSError):  # no year that anybody counts
        return Identity(name, address, datetime.fromtimestamp(0, zone))


def read_record(data: bytes) -> tuple[dict[str, str], str]:
    """The fields of a tag or commit, the first of each name, and its message."""
    head, _, message = data.decode("utf-8", "surrogateescape").partition("\n\n")
    lines = (line.partition(" ") for line in reversed(head.split("\n")))
    return {name: value for name, _, value in lines}, message


def author_date(repository: Repository, commit: str) -> datetime | None:
    """When a commit (a full id) was written; None if it does not say."""
    fields, _ = read_record(repository.read_object(commit)[1])
    identity = read_identity(fields.get("author", ""))
    return identity and identity.date
