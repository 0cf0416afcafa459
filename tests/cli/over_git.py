"""The commands over git, each as a line that works on any machine with a mark; add new ones here."""

from __future__ import annotations

import inspect

from cfgaudit.cli import check
from cfgaudit.cli.main import COMMANDS

LINES = {
    "mark": ("mark -m fine", "mark HEAD -m fine --measured a=b"),
    "marks": ("marks", "marks --format json"),
    "changes": ("changes", "changes --staged", "changes HEAD~1 HEAD", "changes --format json"),
    "history": ("history *:*",),
    "suspects": ("suspects ringing", "suspects layer-shift --bisect"),
    "gate": ("gate", "gate --staged"),
    "restore": ("restore --all --dry-run --over-edits",),
}
OPTIONS = {
    "since": ("check --since HEAD~1",),
    "changes": ("check --changes", "check --staged --changes"),
}


def over_git() -> list[str]:
    """The lines of the commands and options that there are."""
    lines = [line for name in LINES if name in COMMANDS for line in LINES[name]]
    known = inspect.signature(check.run).parameters
    lines += [line for name in OPTIONS if name in known for line in OPTIONS[name]]
    return [*lines, "check --staged", "check --rev HEAD"]


def from_the_last_mark() -> list[str]:
    """Those that compare with the last mark because no revision is named."""
    names = ("changes", "suspects", "restore")
    return [LINES[name][0] for name in names if name in COMMANDS]
