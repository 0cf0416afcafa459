"""A repository that a stranger made: no command over git runs anything of it, or takes a name for an option.

Sources: git-config(1) for every setting that names a program, gitattributes(5), githooks(5).
"""

from __future__ import annotations

import os
import subprocess
import time
from pathlib import Path

import pytest
from cli.over_git import over_git
from cli.program import contents, process

from history.real_git import commit, git, write

HOOKS = """
applypatch-msg pre-applypatch post-applypatch pre-commit pre-merge-commit prepare-commit-msg commit-msg
post-commit pre-rebase post-checkout post-merge pre-push pre-receive update proc-receive post-receive
post-update reference-transaction push-to-checkout pre-auto-gc post-rewrite sendemail-validate
fsmonitor-watchman post-index-change p4-changelist p4-prepare-changelist p4-post-changelist p4-pre-submit
""".split()
PROGRAMS = """
filter.trap.smudge filter.trap.clean filter.trap.process diff.trap.textconv diff.trap.command diff.external
merge.trap.driver core.fsmonitor core.pager core.editor core.sshCommand core.askPass core.gitProxy
core.alternateRefsCommand credential.helper gpg.program gpg.openpgp.program gpg.ssh.program gpg.x509.program
gpg.ssh.defaultKeyCommand sequence.editor interactive.diffFilter trailer.measured.command trailer.measured.cmd
trailer.reviewed.command uploadpack.packObjectsHook remote.origin.uploadpack remote.origin.receivepack
browser.trap.cmd man.trap.cmd mergetool.trap.cmd difftool.trap.cmd
""".split()
PLUMBING = (
    "rev-parse ls-files ls-tree for-each-ref cat-file log rev-list diff-tree diff-index merge-base mktag "
    "update-ref var hash-object notes show"
).split()
SETTINGS = {
    "filter.trap.required": "true",
    "diff.trap.cachetextconv": "true",
    "log.showSignature": "true",
    "tag.gpgSign": "true",
    "tag.forceSignAnnotated": "true",
    "commit.gpgSign": "true",
    "user.signingKey": "x",
    "remote.origin.url": "ext::sh -c touch% {trip}",
    "remote.origin.promisor": "true",
    "protocol.allow": "always",
    "submodule.parts.update": "!touch {trip}",
    "submodule.recurse": "true",
    "color.ui": "always",
    "color.diff": "always",
    "core.commentChar": "M",
    "diff.renames": "copies",
    "diff.noprefix": "true",
    "log.follow": "true",
    "log.decorate": "full",
    "format.pretty": "%H trap",
    "i18n.logOutputEncoding": "UTF-16",
}
ODD_NAMES = (
    "--output=tripped",
    "-rf",
    "$(touch tripped)",
    ";touch tripped;.ini",
    "| touch tripped",
    "`touch tripped`",
)
ODD_REFERENCES = ("--output=tripped", "-rf", "$(touch;tripped)", "--exec=tripped", "good/--output=tripped")
MAIN = """\
%include parts/*.ini

[x axis]
top acceleration = 3000
top speed = 200

[plate heater]
highest temp = 110
"""


def make_trap(folder: Path, tripped: Path) -> Path:
    """A program that leaves a trace and otherwise does what a filter or pager would do."""
    trap = folder / "trap"
    trap.write_text(f'#!/bin/sh\necho "$0 $*" >> "{tripped}"\ncat\n')
    trap.chmod(0o755)
    return trap


def configure(machine: Path, file: str, key: str, value: str) -> None:
    """Write one setting without reading the others."""
    subprocess.run(["git", "config", "--file", file, key, value], cwd=machine, check=True)


def set_traps(machine: Path, trap: Path, tripped: Path) -> None:
    for name in HOOKS:
        hook = machine / ".git" / "hooks" / name
        hook.parent.mkdir(exist_ok=True)
        hook.write_text(trap.read_text())
        hook.chmod(0o755)
    write(
        machine, {".gitattributes": "* filter=trap diff=trap merge=trap text working-tree-encoding=UTF-8\n"}
    )
    configure(machine, ".git/config", "core.hooksPath", str(machine / ".git" / "hooks"))
    configure(machine, ".git/config", "include.path", "more")
    for key in PROGRAMS:
        configure(machine, ".git/more", key, str(trap))
    for name in PLUMBING:
        configure(machine, ".git/more", f"alias.{name}", f"!{trap}")
        configure(machine, ".git/more", f"pager.{name}", str(trap))
    for key, value in SETTINGS.items():
        configure(machine, ".git/more", key, value.replace("{trip}", str(tripped)))


@pytest.fixture
def tripped(tmp_path: Path) -> Path:
    return tmp_path / "tripped"


@pytest.fixture(params=["committed", "unfinished"])
def machine(folder: Path, tmp_path: Path, tripped: Path, request: pytest.FixtureRequest) -> Path:
    """Two commits, the first one marked, and files on disk whose times say that git must look at them.

    ``unfinished``: something else is staged, and something else again is on disk.
    """
    odd = {f"parts/{name}.ini": "[lamp]\npin = PA1\n" for name in ODD_NAMES if "/" not in name}
    commit(folder, "first", {"main.ini": MAIN, **odd, **dict.fromkeys(ODD_NAMES, "x\n")})
    git(folder, "tag", "-m", "a vase\n\nMeasured: a=b", "good/2026-11-10")
    git(folder, "tag", "-m", "odd", "other")
    for name in ODD_REFERENCES:
        git(folder, "update-ref", f"refs/heads/{name}", "HEAD")
        git(folder, "update-ref", f"refs/tags/{name}", "refs/tags/other")
    commit(folder, "--output=tripped", {"main.ini": MAIN.replace("3000", "9000")})
    if request.param == "unfinished":
        write(folder, {"main.ini": MAIN.replace("3000", "9500")})
        git(folder, "add", ".")
        write(folder, {"main.ini": MAIN.replace("3000", "12000")})
    set_traps(folder, make_trap(tmp_path, tripped), tripped)
    tripped.unlink(missing_ok=True)
    touch_all(folder)
    return folder


def touch_all(folder: Path) -> None:
    later = time.time() + 60
    for path in folder.rglob("*.ini"):
        os.utime(path, (later, later))


def without_git(found: dict[str, bytes | None]) -> dict[str, bytes | None]:
    return {path: data for path, data in found.items() if not path.startswith(".git/")}


@pytest.mark.parametrize("line", over_git())
def test_nothing_of_the_repository_runs(machine: Path, tripped: Path, line: str) -> None:
    before = without_git(contents(machine))
    ran = process(*line.split(), cwd=machine)
    assert not tripped.exists(), tripped.read_text()
    unmarkable = line == "mark -m fine" and "is not as in the last commit" in ran.err
    assert ran.status in (0, 1) or unmarkable, ran
    assert "Traceback" not in ran.err
    assert without_git(contents(machine)) == before
    assert not any(Path(path).name == "tripped" for path in contents(machine))


@pytest.mark.parametrize("machine", ["committed"], indirect=True)
@pytest.mark.parametrize("name", [*ODD_REFERENCES, "refs/heads/--output=tripped", "refs/tags/-rf"])
def test_names_that_look_like_options(machine: Path, tripped: Path, name: str) -> None:
    """After ``--`` they are revisions for every command that takes one."""
    ran = process("mark", "-m", "fine", "--", name, cwd=machine)
    assert (ran.status, ran.err) == (0, ""), ran
    assert not tripped.exists()
    assert not (machine / "tripped").exists()


@pytest.mark.parametrize("machine", ["unfinished"], indirect=True)
@pytest.mark.parametrize(
    "words",
    [
        ("status",),
        ("add", "--renormalize", "."),
        ("log", "-p", "-1", "--ext-diff"),
        ("diff", "HEAD~1", "HEAD"),
        ("commit", "-qam", "x"),
        ("tag", "-m", "x", "trapped"),
        ("interpret-trailers", "--trailer", "reviewed=x"),
        ("update-ref", "refs/heads/more", "HEAD"),
    ],
)
def test_the_traps_are_set(machine: Path, tripped: Path, words: tuple[str, ...]) -> None:
    """git itself steps into them: the machine's commands had something to avoid."""
    subprocess.run(["git", *words], cwd=machine, check=False, capture_output=True, stdin=subprocess.DEVNULL)
    assert tripped.exists()
