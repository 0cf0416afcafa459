"""``restore``: values go back to what they were."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import MainFile, open_states, two_states

if TYPE_CHECKING:
    from collections.abc import Container, Sequence

    from cfgaudit.history.change import Change
    from cfgaudit.history.restoring.conflicts import Conflicts
    from cfgaudit.history.restoring.recheck import Outcome
    from cfgaudit.history.restoring.restore import Restoration
    from cfgaudit.history.states.snapshot import Snapshot
    from cfgaudit.history.states.states import States

Addresses = Annotated[
    Optional[list[str]],  # noqa: UP045
    typer.Argument(
        metavar="SECTION:SETTING",
        help="What to put back, by its old or new name, globs allowed; a section alone is all of it.",
        show_default=False,
    ),
]
Concern = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option("--concern", metavar="CONCERN", help="Put back all of one concern.", show_default=False),
]
All = Annotated[bool, typer.Option("--all", help="Put everything back.")]
From = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--from",
        metavar="MARK",
        help="The mark or revision to go back to. Without it: the last mark that HEAD holds.",
        show_default=False,
    ),
]
DryRun = Annotated[bool, typer.Option("--dry-run", help="Only show what would be written.")]
OverEdits = Annotated[
    bool,
    typer.Option(
        "--over-edits", help="Also where an edit that is in no commit, nor was at the mark, is lost."
    ),
]


def run(
    addresses: Addresses = None,
    concern: Concern = None,
    every: All = False,
    since: From = None,
    dry_run: DryRun = False,
    over_edits: OverEdits = False,
    main: MainFile = None,
) -> None:
    """Put values back to what they were at the last mark, or at another one.

    Only these values change, each in its own file; everything else keeps every byte. The difference is shown
    first, and nothing is written unless the result was read back and is what was asked for.

    Exit status: 0 done, 2 refused, with nothing written.
    """
    from cfgaudit.history.restoring.restore import RestoreError

    _check_asked(addresses or (), concern, every=every)
    states = open_states(main)
    before, after = two_states(states, since, None)
    try:
        with progress(f"comparing {states.main}"):
            changes = _changes(states, before, after)
            selected = _selected(states, before, after, changes, addresses or (), concern)
            plan = _planned(states, before, after, selected, changes) if selected else None
        if plan is None:
            write(f"Nothing to restore: {_nothing(changes, before.revision.label, concern)}.\n")
            return
        _carry_out(states, before, after, changes, plan, dry_run=dry_run, over_edits=over_edits)
    except RestoreError as error:
        raise UsageError(str(error)) from error


def _check_asked(addresses: Sequence[str], concern: str | None, *, every: bool) -> None:
    if sum((bool(addresses), concern is not None, every)) != 1:
        raise UsageError("say what to put back: SECTION:SETTING, or --concern CONCERN, or --all")
    if any(not one.strip(" :") for one in addresses):
        raise UsageError("an address is empty: give SECTION:SETTING, or a section")


def _changes(states: States, before: Snapshot, after: Snapshot) -> tuple[Change, ...]:
    from cfgaudit.history.comparing.compare import compare_machines

    return compare_machines(states.subject(before), states.subject(after))


def _selected(
    states: States,
    before: Snapshot,
    after: Snapshot,
    changes: Sequence[Change],
    addresses: Sequence[str],
    concern: str | None,
) -> tuple[Change, ...]:
    """The changes that are meant, each once. Raises UsageError for a name that nothing has."""
    from cfgaudit.history.comparing.selection import changes_at

    if concern is not None:
        _check_concern(concern)
        return tuple(one for one in changes if one.concern == concern)
    if not addresses:
        return tuple(changes)
    chosen: list[Change] = []
    for address in addresses:
        found = changes_at(changes, address)
        if not found:
            raise UsageError(_unmet(states, before, after, changes, address))
        chosen += [one for one in found if one not in chosen]
    return tuple(chosen)


def _check_concern(concern: str) -> None:
    from cfgaudit.history.comparing.compare import CONCERNS
    from cfgaudit.nearest import or_nearest

    if concern not in CONCERNS:
        known = ", ".join(CONCERNS)
        raise UsageError(f"no concern is called {or_nearest(concern, CONCERNS)}: there are {known}")


def _unmet(states: States, before: Snapshot, after: Snapshot, changes: Sequence[Change], address: str) -> str:
    """Why an address meets no change."""
    from cfgaudit.history.comparing.selection import is_known, nearest_address, whole_section_of

    section = whole_section_of(changes, address)
    if section is not None:
        return f"[{section}] came or went as a whole: restore {section}, with all that is in it"
    trees = [states.subject(one).tree for one in (before, after)]
    if is_known(trees, address):
        return f"{address} is as it was at {before.revision.label}: cfgaudit changes shows what is not"
    return f"nothing has the name {nearest_address(trees, address)}: cfgaudit changes shows what there is"


def _nothing(changes: Sequence[Change], since: str, concern: str | None) -> str:
    return f"nothing of {concern} changed since {since}" if changes else f"all is as it was at {since}"


def _planned(
    states: States,
    before: Snapshot,
    after: Snapshot,
    selected: Sequence[Change],
    changes: Sequence[Change],
) -> Restoration:
    from cfgaudit.history.restoring.restore import plan_restore

    traits = states.project.traits
    return plan_restore(selected, states.subject(before), states.subject(after), changes, traits=traits)


def _carry_out(
    states: States,
    before: Snapshot,
    after: Snapshot,
    changes: tuple[Change, ...],
    plan: Restoration,
    *,
    dry_run: bool,
    over_edits: bool,
) -> None:
    """Check what would come of it, show it, write it, and look again."""
    from cfgaudit.history.restoring.conflicts import find_conflicts
    from cfgaudit.history.restoring.rewrite import Rewrite, RewriteError, rewrite
    from cfgaudit.report.restore import diff_lines, outcome_lines, unread_lines

    documents = states.audit(after).tree.documents
    files = {path: Rewrite(documents[path].data(), data) for path, data in plan.files.items()}
    with progress(f"checking {states.main}"):
        conflicts = find_conflicts(
            states, states.subject(before), states.subject(after), plan.changes, plan.files
        )
        if not over_edits:
            _refuse(conflicts)
        outcome = _outcome(states, before, after, changes, plan)
    show(diff_lines(files, width()))
    show(unread_lines(_unread(plan, after, documents), width()))
    if dry_run:
        return
    try:
        rewrite(states.folder, files)
    except RewriteError as error:
        raise UsageError(str(error)) from error
    show([(), *outcome_lines(outcome, before.revision.label, list(files), conflicts, width())])


def _unread(plan: Restoration, after: Snapshot, documents: Container[str]) -> tuple[str, ...]:
    """The files that what is put back stood in, which are still there and which nothing includes now."""
    stood_in = dict.fromkeys(one.before.where.file for one in plan.changes if one.before is not None)
    return tuple(one for one in stood_in if one not in documents and after.source.is_file(one))


def _outcome(
    states: States, before: Snapshot, after: Snapshot, changes: tuple[Change, ...], plan: Restoration
) -> Outcome:
    """What the files would say, read from memory."""
    from cfgaudit.history.restoring.recheck import outcome_of
    from cfgaudit.history.states.snapshot import Snapshot
    from cfgaudit.source import Overlay

    put_back = Snapshot(after.revision, Overlay(after.source, plan.files), after.main)
    old, now, then = (states.audit(one) for one in (before, after, put_back))
    return outcome_of(plan, old, now, then, changes)


def _refuse(conflicts: Conflicts) -> None:
    from cfgaudit.history.restoring.restore import RestoreError

    if conflicts.edited:
        names = ", ".join(dict.fromkeys(one.address for one in conflicts.edited))
        raise RestoreError(
            f"{names}: the present value is in no commit and would be lost: git commit it first, or add "
            "--over-edits"
        )
    if conflicts.staged:
        names = ", ".join(conflicts.staged)
        raise RestoreError(
            f"{names}: what is staged is neither what is on disk nor what was committed last: git commit or "
            "git restore --staged it first, or add --over-edits"
        )
