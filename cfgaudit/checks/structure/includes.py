"""What went wrong while include directives were followed, and files that nothing includes."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.syntax.document import Place
from cfgaudit.tree.config_tree import TreeFault

Wording = Callable[[TreeFault], tuple[str, str | None]]
"""A fault's message, and an advice better than the card's if there is one."""


def _missing(fault: TreeFault) -> tuple[str, str | None]:
    return f"{fault.target} is included but does not exist", _did_you_mean(fault.detail)


def _did_you_mean(path: str) -> str | None:
    return f"Did you mean {path}? Correct the path, or remove the line." if path else None


def _cycle(fault: TreeFault) -> tuple[str, str | None]:
    return f"{fault.target} includes itself: {fault.detail}", None


def _leaves_root(fault: TreeFault) -> tuple[str, str | None]:
    return f"{fault.target} leads outside the main file's folder, so it was not read", None


def _matches_nothing(fault: TreeFault) -> tuple[str, str | None]:
    return f"{fault.target} matches no file{f': {fault.detail}' if fault.detail else ''}", None


def _twice(fault: TreeFault) -> tuple[str, str | None]:
    return f"{fault.detail or fault.target} is included a second time", None


def _unreadable(fault: TreeFault) -> tuple[str, str | None]:
    reason = fault.detail.removeprefix(f"{fault.target} ")
    return f"{fault.target} cannot be read: {reason}" if reason else f"{fault.target} cannot be read", None


WORDINGS: dict[str, Wording] = {
    "include-missing": _missing,
    "include-cycle": _cycle,
    "include-leaves-root": _leaves_root,
    "include-matches-nothing": _matches_nothing,
    "include-twice": _twice,
    "include-unreadable": _unreadable,
}


def _register(rule: str, wording: Wording) -> None:
    @check(rule)
    def tree_faults(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
        """The tree's faults of this kind."""
        for fault in subject.tree.faults:
            if fault.kind == rule:
                message, advice = wording(fault)
                yield Problem(fault.place, message, fault.target, fault.related, advice)


for _rule, _wording in WORDINGS.items():
    _register(_rule, _wording)


@check("include-case")
def include_case(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A path in another case than its file's, or two files that only their case tells apart."""
    led_to = {inclusion.place: inclusion.files for inclusion in subject.tree.inclusions}
    for fault in subject.tree.faults:
        if fault.kind != "include-case":
            continue
        files = led_to.get(fault.place, ())
        if files == (fault.detail,):
            yield Problem(
                fault.place,
                f"{fault.target} does not exist, {fault.detail} does",
                fault.target,
                advice=f"Write {fault.detail}, as the file is called.",
            )
        else:
            twin = next(
                (one for one in files if one != fault.detail and one.casefold() == fault.detail.casefold()),
                fault.target,
            )
            message = f"{twin} and {fault.detail} differ in their case only"
            yield Problem(fault.place, message, fault.target, severity=Severity.WARNING)


@check("file-not-included")
def file_not_included(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """Files that look like configuration and that no main file reaches."""
    for path in subject.tree.strangers:
        yield Problem(
            Place(path, 1, 1, 1, 1), f"{path} looks like configuration but nothing includes it", path
        )
