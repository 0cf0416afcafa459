"""link-shared and link-unstable-path: the paths by which the host reaches its boards."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from cfgaudit.checks.conflict import at_later
from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.syntax.value import Opaque

NUMBERED = re.compile(r"/dev/tty[A-Za-z_]*(?:usb|acm)[A-Za-z_]*\d+", re.IGNORECASE)
"""A device that the kernel numbers in the order of plugging in (Linux, from memory).

Ports soldered to the host keep their numbers, and other names are somebody's own: neither is meant.
"""


@check("link-shared")
def link_shared(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Two boards are to be reached by one path, which only one of them can answer."""
    by_path: dict[str, list[tuple[Part, Meaning]]] = {}
    for board, link in _links(subject.machine):
        by_path.setdefault(_path(link), []).append((board, link))
    for path, users in by_path.items():
        for (one, first), (other, second) in pairwise(users):
            if _addressed(one) or _addressed(other):
                continue
            place, related = at_later(subject.tree, first.place, second.place)
            yield Problem(
                place,
                f"{one.title} and {other.title} are both reached by {path}",
                subject=f"{one.title} {other.title}",
                related=related,
            )


def _links(machine: Machine) -> Sequence[tuple[Part, Meaning]]:
    """Every board with its path; several boards behind one path need an address each, not a path."""
    links = ((board, board.get("board.link")) for board in machine.kind("board"))
    return [(board, link) for board, link in links if link is not None and _is_path(link)]


def _path(link: Meaning) -> str:
    return link.text.strip().strip("\"'")


def _is_path(link: Meaning) -> bool:
    """Whether the link is a path of a device; a bus has a name and many boards."""
    path = _path(link)
    return link.fits and not isinstance(link.value, Opaque) and path.startswith("/") and " " not in path


def _addressed(board: Part) -> bool:
    """A board with an address may share its line; one with words that we do not know may have an address."""
    return bool(board.unknown) or any(board.get(role) for role in ("board.address", "bus.address"))


@check("link-unstable-path")
def link_unstable_path(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A path that may lead to another board after the next start."""
    for board, link in _links(subject.machine):
        path = _path(link)
        if NUMBERED.fullmatch(path):
            yield Problem(
                link.place,
                f"{board.title} is reached by {path}, a number given in the order of plugging in",
                subject=board.title,
            )
