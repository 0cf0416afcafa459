"""GitPython's runner, with everything switched off that could start a program of somebody else's.

A repository's configuration can name programs (hooks, filters, text converters, a file system monitor,
signers, editors, pagers, transports), and so can its attributes. What a switch can turn off is off for every
command; what no switch turns off (filters) is never reached, because no command that asks for it is run.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from cfgaudit.source import SourceError

if TYPE_CHECKING:
    from git.cmd import Git

SWITCHED_OFF = (
    "core.fsmonitor=false",
    f"core.hooksPath={os.devnull}",
    "core.sshCommand=false",
    "core.editor=false",
    "sequence.editor=false",
    "core.pager=cat",
    "core.askPass=false",
    "core.alternateRefsCommand=false",
    "credential.helper=",
    "log.showSignature=false",
    "log.follow=false",
    "commit.gpgSign=false",
    "tag.gpgSign=false",
    "gpg.program=false",
    "gpg.openpgp.program=false",
    "gpg.x509.program=false",
    "gpg.ssh.program=false",
    "gpg.ssh.defaultKeyCommand=false",
    "submodule.recurse=false",
    "gc.auto=0",
    "maintenance.auto=false",
    # not programs, but what is read here must not depend on them
    "color.ui=false",
    "color.diff=false",
    "diff.relative=false",
    "diff.renameLimit=0",
    f"diff.orderFile={os.devnull}",
    f"core.attributesFile={os.devnull}",
    "log.mailmap=false",
    "i18n.logOutputEncoding=UTF-8",
)
ENVIRONMENT = {
    "GIT_ALLOW_PROTOCOL": "none",  # what a partial clone lacks is never fetched, whatever its remote says
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_EDITOR": "false",
    "GIT_SEQUENCE_EDITOR": "false",
    "GIT_PAGER": "cat",
    "GIT_LITERAL_PATHSPECS": "0",
    "GIT_GLOB_PATHSPECS": "0",
    "GIT_NOGLOB_PATHSPECS": "0",
    "GIT_ICASE_PATHSPECS": "0",
}
PATHS = ("GIT_DIR", "GIT_WORK_TREE", "GIT_COMMON_DIR", "GIT_OBJECT_DIRECTORY")
"""Variables that a hook is run with and that may be relative to where it runs."""
DUBIOUS = re.compile(r"dubious ownership in repository at '(.*)'")


def git_in(folder: Path) -> Git:
    """GitPython's runner, in a folder that exists: in one that does not it would run wherever we are.

    Raises SourceError where there is no such folder or no git, or where the environment (that of a hook)
    binds git to a work tree in which the folder does not lie.
    """
    if not (folder.is_dir() and os.access(folder, os.X_OK)):
        raise SourceError(f"{folder} is no folder that can be entered: name a folder in a git repository")
    git = _runner(folder)
    git.update_environment(**_bound(folder, os.environ))
    return git


def _runner(folder: Path) -> Git:
    try:
        from git.cmd import Git
    except ImportError as error:
        raise SourceError(
            "git is not installed: install it, or read the files as they are on disk"
        ) from error
    git = Git(folder)
    git.set_persistent_git_options(c=list(SWITCHED_OFF), no_pager=True)
    git.update_environment(**ENVIRONMENT)
    return git


def _bound(folder: Path, environment: Mapping[str, str]) -> dict[str, str]:
    """What binds git to a repository, so that it says the same in any folder of the work tree.

    Paths count from where this process runs. Where ``GIT_DIR`` alone is set, that folder would be taken for
    the top of the work tree, so the top is asked for there, once.
    """
    bound = {name: os.path.abspath(environment[name]) for name in PATHS if environment.get(name)}
    if "GIT_DIR" not in bound:
        return bound
    here = _runner(Path.cwd())
    here.update_environment(**bound)
    try:
        told = here.rev_parse("--show-toplevel", stdout_as_string=False, strip_newline_in_stdout=False)
    except _git_error() as error:
        if "not a git repository" in str(getattr(error, "stderr", "")):
            raise SourceError(
                f"GIT_DIR is set, so git looks in {bound['GIT_DIR']}, which is no repository: unset GIT_DIR"
            ) from error
        return bound  # it has no work tree
    top = os.fsdecode(bytes(told).removesuffix(b"\n"))
    if not folder.is_relative_to(os.path.realpath(top)):
        raise SourceError(
            f"GIT_DIR is set, so git works on {top}, where {folder} does not lie: unset GIT_DIR, or name a "
            "file in there"
        )
    return {**bound, "GIT_WORK_TREE": top}


def _git_error() -> type[Exception]:
    from git.exc import GitError

    return GitError


def told(folder: Path, stderr: str) -> str:
    """GitPython's account of a failure as one line with what to do."""
    lines = list(_said(stderr))
    first = lines[0] if lines else "it gives no reason"
    if "not a git repository" in first:
        return (
            f"{folder} lies in no git repository: run git init there, or read the files as they are on disk"
        )
    if owned := DUBIOUS.search(first):
        return _not_yours(owned[1])
    if "must be run in a work tree" in first:
        return f"{folder} is a bare repository, which has no files on disk: clone it, and work in the clone"
    return f"git fails in {folder}: {first}"


def _said(stderr: str) -> Iterator[str]:
    """What git itself says, without GitPython's quotes around it."""
    for line in stderr.splitlines():
        said = line.strip().removeprefix("stderr: '").removeprefix("fatal: ").removeprefix("error: ")
        if said.strip(" '"):
            yield said if DUBIOUS.search(said) else said.strip(" '")


def _not_yours(folder: str) -> str:
    owner = _owner(folder)
    return (
        f"{folder} is a repository of another user ({owner}), which git does not trust: run this as "
        f"{owner}, or git config --global --add safe.directory {folder}"
    )


def _owner(folder: str) -> str:
    try:
        number = os.stat(folder).st_uid
        import pwd

        return pwd.getpwuid(number).pw_name
    except OSError:
        return "unknown"
    except (ImportError, KeyError):
        return f"number {number}"
