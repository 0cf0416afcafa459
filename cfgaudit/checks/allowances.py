"""Allowances: comments that say of one place that a rule need not be met there, and why.

``; cfgaudit: allow RULE[, RULE], reason`` stands on the line itself, or on the comment lines directly above.
The rules about allowances themselves are found here, since they speak of findings.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator
from typing import NamedTuple

from cfgaudit.checks.finding import Finding, Problem
from cfgaudit.nearest import or_nearest
from cfgaudit.syntax.document import Blank, Comment, Document, Node, Place

RULES = ("allowance-unreadable", "allowance-unknown-rule", "allowance-without-reason", "allowance-unused")
"""The rules that this module finds; their cards have neither function nor requirement."""

MARK = "cfgaudit:"
WORD = re.compile(r"[\w-]+")


class Allowance(NamedTuple):
    """``lines`` are the lines whose findings it allows; ``rules`` is empty where it cannot be read."""

    rules: tuple[str, ...]
    reason: str
    place: Place
    lines: range


def read_allowances(documents: Iterable[Document], known: Collection[str]) -> Iterator[Allowance]:
    """Every allowance in the comments of the documents."""
    for document in documents:
        if MARK in document.text.casefold():
            yield from _document_allowances(document, known)


def _document_allowances(document: Document, known: Collection[str]) -> Iterator[Allowance]:
    for index, node in enumerate(document.nodes):
        if isinstance(node, Comment) and node.text.casefold().startswith(MARK):
            rules, reason = read_allowance(node.text[len(MARK) :], known)
            yield Allowance(rules, reason, document.place(node.span), _covered_lines(document, index, node))


def read_allowance(text: str, known: Collection[str]) -> tuple[tuple[str, ...], str]:
    """The rules and the reason of what follows the mark; no rules where it is no allowance at all.

    A word after a comma is one more rule if a rule has that name, or if it looks like one (it has a hyphen
    and stands alone) and a reason still follows.
    """
    verb, _, rest = text.strip().partition(" ")
    if verb.casefold() != "allow" or not (first := WORD.match(rest.strip())):
        return (), ""
    rules = [first[0].casefold()]
    rest = rest.strip()[first.end() :].lstrip()
    while rest.startswith(","):
        piece, comma, further = rest[1:].partition(",")
        name = piece.strip().casefold()
        if not (name in known or (comma and "-" in name and WORD.fullmatch(name))):
            break
        rules.append(name)
        rest = comma + further
    return tuple(rules), rest.strip(" ,:;.-–—()")


def _covered_lines(document: Document, index: int, comment: Comment) -> range:
    """Beside an entry: the entry's lines. Alone: its own line and the node below the comment block."""
    own = document.line_of(comment.span.start)
    if comment.inline:
        holder = _neighbour(document, range(index - 1, -1, -1))
        first, after = _lines(document, holder) if holder is not None else (own, own + 1)
        return range(first, after) if first == own else range(own, own + 1)
    below = _neighbour(document, range(index + 1, len(document.nodes)))
    if below is None or isinstance(below, Blank):
        return range(own, own + 1)
    first, after = _lines(document, below)
    return range(own, after) if first > own else range(own, own + 2)


def _neighbour(document: Document, indices: range) -> Node | None:
    """The first node that is no comment."""
    return next(
        (node for node in map(document.nodes.__getitem__, indices) if not isinstance(node, Comment)), None
    )


def _lines(document: Document, node: Node) -> tuple[int, int]:
    place = document.place(node.span)
    return place.line, place.end_line + 1


def split_allowed(
    findings: Iterable[Finding], allowances: Iterable[Allowance]
) -> tuple[frozenset[Finding], frozenset[tuple[Allowance, str]]]:
    """The findings that are allowed, and every allowance with a rule of it that allowed something.

    An allowance without a reason allows nothing.
    """
    index: dict[tuple[str, str, int], list[Allowance]] = {}
    for allowance in allowances:
        for rule in allowance.rules if allowance.reason else ():
            for line in allowance.lines:
                index.setdefault((rule, allowance.place.file, line), []).append(allowance)
    matches = [
        (finding, allowance)
        for finding in findings
        for allowance in index.get((finding.rule, finding.where.file, finding.where.line), ())
    ]
    allowed = frozenset(finding for finding, _ in matches)
    return allowed, frozenset((allowance, finding.rule) for finding, allowance in matches)


def check_allowances(
    allowances: Iterable[Allowance],
    used: Collection[tuple[Allowance, str]],
    known: Collection[str],
    ran: Collection[str],
) -> Iterator[tuple[str, Problem]]:
    """What is wrong with the allowances themselves: (rule, problem). ``ran`` are the rules that did run."""
    for allowance in allowances:
        if not allowance.rules:
            yield _problem(
                "allowance-unreadable", allowance, "this comment is addressed to cfgaudit but allows nothing"
            )
        for rule in allowance.rules:
            if rule not in known:
                message = f"an allowance names a rule that does not exist, {or_nearest(rule, known)}"
                yield _problem("allowance-unknown-rule", allowance, message, rule)
            elif not allowance.reason:
                yield _problem(
                    "allowance-without-reason", allowance, f"{rule} is allowed without a reason", rule
                )
            elif rule in ran and (allowance, rule) not in used:
                yield _problem(
                    "allowance-unused", allowance, f"{rule} is allowed here but finds nothing here", rule
                )


def _problem(rule: str, allowance: Allowance, message: str, subject: str = "") -> tuple[str, Problem]:
    return rule, Problem(allowance.place, message, f"{allowance.place.file} {subject}")
