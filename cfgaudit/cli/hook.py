"""A git hook for those without a tool that manages their hooks: it checks what is staged before a commit."""

from __future__ import annotations

import os
import shlex
from pathlib import Path

from cfgaudit.cli.failure import UsageError
from cfgaudit.cli.new_file import EXECUTABLE, make_folder, write_new
from cfgaudit.cli.opening import from_folder, open_configuration
from cfgaudit.cli.program_path import program

NAME = "pre-commit"
COMMAND = ("check", "--staged", "--changes")
TEXT = """\
#!/bin/sh
# Written by `cfgaudit init --hook`: before a commit, checks the configuration as it is staged.
# To commit once without it: git commit --no-verify. To be rid of it: delete this file.
set -- {arguments}
if {program} --version > /dev/null 2>&1; then
    exec {program} "$@"
fi
if cfgaudit --version > /dev/null 2>&1; then
    exec cfgaudit "$@"
fi
echo "cfgaudit is not found where it was, so nothing was checked: install it again, or delete $0 and run" \\
    "cfgaudit init --hook anew (git commit --no-verify leaves the check out)" >&2
exit 1
"""


def install_hook(main: str | None) -> Path:
    """Write the hook for the configuration of a main file, never over another; gives where it stands.

    Raises UsageError where there is one already, or where git looks for hooks elsewhere.
    """
    from cfgaudit.history.git.hooks import hooks_elsewhere, hooks_folder
    from cfgaudit.history.git.repository import Repository

    opened = open_configuration(main)
    repository = Repository(opened.folder)
    elsewhere = hooks_elsewhere(repository)
    line = shlex.join(["cfgaudit", *COMMAND, _from_top(repository.root, opened.folder / opened.main)])
    if elsewhere is not None:
        raise UsageError(
            f"git looks for hooks in {elsewhere or 'no folder'} (core.hooksPath), so nothing is written: "
            f"add to the {NAME} hook there: {line}"
        )
    target = hooks_folder(repository) / NAME
    make_folder(target.parent)
    text = hook_text(line.removeprefix("cfgaudit "))
    write_new(target, os.fsencode(text), instead=f"add this line to it: {line}", mode=EXECUTABLE)
    return target


def hook_text(arguments: str) -> str:
    """The hook; ``arguments`` are quoted for the shell."""
    return TEXT.format(arguments=arguments, program=shlex.join(program()))


def _from_top(top: Path, file: Path) -> str:
    """The main file as a hook sees it, which runs at the top of the work tree."""
    path = from_folder(top, file)
    return f"./{path}" if path.startswith("-") else path
