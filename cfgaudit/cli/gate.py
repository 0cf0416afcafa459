"""``gate``: what to run before a firmware restart."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Optional

import typer

from cfgaudit.checks.finding import Severity
from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.options import Form, Format, Main, Staged
from cfgaudit.cli.progress import progress
from cfgaudit.cli.screen import show, width, write
from cfgaudit.cli.states import open_states

if TYPE_CHECKING:
    from collections.abc import Mapping

    from cfgaudit.history.gating.gate import Verdict
    from cfgaudit.history.states.snapshot import Snapshot
    from cfgaudit.history.states.states import States
    from cfgaudit.project import Project

NAMING = "cfgaudit gate FILE"

FailAt = Annotated[
    Severity, typer.Option("--fail-at", help="Stop at new findings at or above this severity.")
]
Accept = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--accept",
        metavar="REASON",
        help="Record, as a git note, that the dangerous changes of exactly this content are meant. Any edit "
        "needs a new one.",
        show_default=False,
    ),
]
Systemd = Annotated[
    Optional[str],  # noqa: UP045
    typer.Option(
        "--systemd",
        metavar="UNIT",
        help="Print a drop-in that runs the gate before this service starts.",
        show_default=False,
    ),
]


def run(
    main: Main = None,
    fail_at: FailAt = Severity.ERROR,
    staged: Staged = False,
    accept: Accept = None,
    systemd: Systemd = None,
    form: Form = Format.TEXT,
) -> None:
    """Before a firmware restart: is anything new since the last mark that speaks against it?

    It stops at findings that the last mark did not have, and at dangerous changes that nobody has accepted.
    A pass says that nothing new is known, not that the machine is safe.

    Exit status: 0 pass, 1 stop, 2 wrong usage or nothing readable.
    """
    if systemd is not None:
        _drop_in(main, systemd, fail_at, staged=staged or accept is not None)
        return
    from cfgaudit.report.gate import Asked, gate_form, gate_lines
    from cfgaudit.report.json_form import dump

    if accept is not None and not accept.strip():
        raise UsageError("an acceptance needs a reason: gate --accept 'why these changes are meant'")
    states = open_states(main, naming=NAMING)
    with progress(f"comparing {states.main}"):
        states.project, said_of_it = _project(states, staged=staged)
        after = states.staged() if staged else states.working_tree()
        text = _content(states, after, said_of_it)
        verdict, said = _judged(states, after, text, fail_at, accept)
    if form is Format.JSON:
        write(dump(gate_form(verdict, states.repository.id_of(text))))
    else:
        show(gate_lines(verdict, width(), Asked(main, staged), said))
    if not verdict.passes:
        raise typer.Exit(1)


def _judged(
    states: States, after: Snapshot, text: bytes, fail_at: Severity, reason: str | None
) -> tuple[Verdict, str]:
    """The verdict, and what became of the acceptance that was asked for."""
    from cfgaudit.history.gating.acceptance import accept, read_acceptance
    from cfgaudit.history.gating.gate import judge, unmarked
    from cfgaudit.history.review import review

    mark = states.find_last_mark()
    if mark is None:
        found = unmarked(after, states.audit(after).findings)
    else:
        found = review(states, states.at(mark.name), after)
    verdict = judge(found, fail_at, read_acceptance(states.repository, states.repository.id_of(text)))
    if reason is None:
        return verdict, ""
    if not verdict.changes:
        return verdict, "No dangerous change needs to be accepted; nothing is written."
    accepted = accept(states.repository, text, reason, verdict.changes)
    return judge(found, fail_at, accepted), "Accepted, for exactly this content."


def _content(states: States, after: Snapshot, said: Mapping[str, bytes]) -> bytes:
    """What makes the configuration: the files as they were read, and what says how they are understood."""
    from cfgaudit.history.gating.acceptance import content_text
    from cfgaudit.paths import join

    documents = states.audit(after).tree.documents
    files = {path: document.data() for path, document in documents.items()}
    return content_text(join(states.repository.prefix, after.main), {**files, **said})


def _project(states: States, *, staged: bool) -> tuple[Project, Mapping[str, bytes]]:
    """What ``cfgaudit.toml`` says there; it and the vocabularies that it names by path from the main file's
    folder."""
    from cfgaudit.cli.opening import opener_for, project_folder, read_project_in, seen_from
    from cfgaudit.project import FILE

    opener = opener_for(None, staged)
    home = project_folder(opener, states.folder)
    project, allowed = read_project_in(opener, home)
    source = opener(home, allowed)
    there = tuple(path for path in (FILE, *project.vocabulary) if source.is_file(path))
    paths = seen_from(states.folder, home, there)
    return project, dict(zip(paths, map(source.read, there), strict=True))


def _drop_in(main: str | None, unit: str, fail_at: Severity, *, staged: bool) -> None:
    from cfgaudit.cli.drop_in import drop_in

    if staged:
        raise UsageError("--systemd stands alone: a service starts with the files as they are on disk")
    states = open_states(main, naming=NAMING)
    write(drop_in(unit, states.folder / states.main, fail_at, states.repository.root))
