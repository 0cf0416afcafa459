"""Files as git holds them, from real repositories; and what a hostile repository does not get to run."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

from cfgaudit.history.git.repository import Repository
from cfgaudit.history.git.sources import GitCommit, GitIndex, GitTree
from cfgaudit.source import MissingFile, OutsideRoot, SourceError
from cfgaudit.tree.resolve import resolve
from cfgaudit.working_tree import WorkingTree

IDENTITY = ("-c", "user.name=Builder", "-c", "user.email=builder@example.org", "-c", "commit.gpgSign=false")


@pytest.fixture(autouse=True)
def no_settings_of_the_user(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")
    monkeypatch.setenv("GIT_CEILING_DIRECTORIES", str(tmp_path))


def git(folder: Path, *words: str) -> str:
    done = subprocess.run(["git", *IDENTITY, *words], cwd=folder, check=True, capture_output=True, text=True)
    return done.stdout.strip()


def write(root: Path, files: dict[str, str]) -> None:
    for path, text in files.items():
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_text(text)


@pytest.fixture
def repository(tmp_path: Path) -> Path:
    """A machine in a folder of a repository, with something beside it: two commits and a staged change."""
    root = tmp_path / "repository"
    root.mkdir()
    git(root, "init", "-q", "-b", "trunk")
    write(
        root,
        {"machine/main.ini": "%include parts/*.ini\n[bed]\nsize = 1\n", "machine/parts/fans.ini": "[fan]\n"},
    )
    write(root, {"shared/pins.ini": "[pins]\n", "machine/.hidden/x.ini": ""})
    git(root, "add", ".")
    git(root, "commit", "-qm", "first")
    git(root, "tag", "good")
    write(root, {"machine/main.ini": "%include parts/*.ini\n[bed]\nsize = 2\n"})
    git(root, "commit", "-qam", "second")
    write(
        root,
        {"machine/main.ini": "%include parts/*.ini\n[bed]\nsize = 3\n", "machine/parts/lamp.ini": "[lamp]\n"},
    )
    git(root, "add", ".")
    write(root, {"machine/main.ini": "%include parts/*.ini\n[bed]\nsize = 4\n"})
    return root


def size_of(source: GitTree | WorkingTree) -> str:
    tree = resolve(source, "main.ini")
    assert not tree.faults
    return next(setting.value for setting in tree.settings() if setting.name == "size")


def test_each_source_has_its_own_bytes(repository: Path) -> None:
    machine = repository / "machine"
    assert size_of(WorkingTree(machine)) == "4"
    assert size_of(GitIndex(machine)) == "3"
    assert size_of(GitCommit(machine, "HEAD")) == "2"
    assert size_of(GitCommit(machine, "HEAD~1")) == "1"
    assert size_of(GitCommit(machine, "good")) == "1"


def test_labels_and_ids_are_what_git_says(repository: Path) -> None:
    name = git(repository, "rev-parse", "good")
    commit = GitCommit(repository / "machine", "good")
    assert (commit.commit, commit.label) == (name, f"commit {name[:7]}")
    assert GitIndex(repository).label == "git index"


def test_paths_are_relative_to_the_folder(repository: Path) -> None:
    assert list(GitCommit(repository / "machine", "good").files()) == ["main.ini", "parts/fans.ini"]
    assert list(GitIndex(repository / "machine").files()) == ["main.ini", "parts/fans.ini", "parts/lamp.ini"]
    index = GitIndex(repository)
    assert "machine/main.ini" in index.files()
    assert index.folder("machine") == (".hidden/", "main.ini", "parts/")
    assert index.folder("nothing") is None
    assert index.locate(str(repository / "machine" / "main.ini")) == "machine/main.ini"


def test_outside_is_refused_unless_allowed(repository: Path) -> None:
    machine = repository / "machine"
    for source in (GitIndex(machine), GitCommit(machine, "good", ("../other",))):
        with pytest.raises(OutsideRoot):
            source.read("../shared/pins.ini")
        assert not source.is_file("../shared/pins.ini")
        assert source.folder("../shared") is None
    allowed = GitCommit(machine, "good", ("../shared/*.ini",))
    assert allowed.read("../shared/pins.ini") == b"[pins]\n"
    assert allowed.folder("../shared") == ("pins.ini",)
    with pytest.raises(MissingFile):
        allowed.read("../shared/none.ini")


def test_missing_files_and_folders(repository: Path) -> None:
    index = GitIndex(repository / "machine")
    with pytest.raises(MissingFile):
        index.read("none.ini")
    with pytest.raises(SourceError, match="is a folder"):
        index.read("parts")
    assert not index.is_file("parts")
    assert index.is_file("./parts//fans.ini")


def test_links_lead_to_what_git_holds(repository: Path) -> None:
    machine = repository / "machine"
    (machine / "same.ini").symlink_to("parts/fans.ini")
    (machine / "more").symlink_to("parts")
    (machine / "out.ini").symlink_to("../shared/pins.ini")
    (machine / "far.ini").symlink_to("/etc/hostname")
    (machine / "round.ini").symlink_to("round.ini")
    (machine / "parts" / "again").symlink_to(".")
    git(repository, "add", ".")
    index = GitIndex(machine)
    assert index.read("same.ini") == index.read("more/fans.ini") == b"[fan]\n"
    assert "more/fans.ini" in index.files()
    assert "parts/again/fans.ini" not in index.files()
    for path in ("out.ini", "far.ini"):
        assert not index.is_file(path)
        with pytest.raises(OutsideRoot, match=r"is a link to"):
            index.read(path)
    with pytest.raises(SourceError, match="leads back to itself"):
        index.read("round.ini")
    assert GitIndex(machine, ("out.ini",)).read("out.ini") == b"[pins]\n"
    assert list(GitIndex(machine).files()) == list(WorkingTree(machine).files())


ODD = [
    "--help",
    "-x.ini",
    "a b.ini",
    "tab\there.ini",
    "line\nbreak.ini",
    'quo"te.ini',
    "\u00fcber.ini",
    ":(top)x",
    "*.ini",
    "HEAD",
]


def test_odd_names_are_names(tmp_path: Path) -> None:
    root = tmp_path / "odd"
    root.mkdir()
    git(root, "init", "-q")
    for name in ODD:
        (root / name).write_text(f"[{ODD.index(name)}]\n")
    (root / os.fsdecode(b"\xff.ini")).write_text("[last]\n")
    git(root, "add", "-A")
    git(root, "commit", "-qm", "odd")
    for source in (GitIndex(root), GitCommit(root, "HEAD")):
        for name in ODD:
            assert source.read(name) == f"[{ODD.index(name)}]\n".encode()
        assert source.read(os.fsdecode(b"\xff.ini")) == b"[last]\n"
        assert list(source.files()) == list(WorkingTree(root).files())


@pytest.mark.parametrize(
    "revision", ["none", "--help", "--output=x", "", "a\nb", "good:machine/main.ini", "HEAD^{tree}", "-"]
)
def test_what_names_no_commit(repository: Path, revision: str) -> None:
    with pytest.raises(SourceError, match="names no commit") as caught:
        GitCommit(repository, revision)
    assert "\n" not in str(caught.value)


def test_no_repository_no_folder_no_commit_yet(tmp_path: Path) -> None:
    with pytest.raises(SourceError, match="lies in no git repository"):
        GitIndex(tmp_path)
    with pytest.raises(SourceError, match="no folder"):
        GitIndex(tmp_path / "none")
    git(tmp_path, "init", "-q")
    assert list(GitIndex(tmp_path).files()) == []
    with pytest.raises(SourceError, match="names no commit"):
        GitCommit(tmp_path, "HEAD")


def test_conflict_is_told(repository: Path) -> None:
    git(repository, "commit", "-qam", "third")
    git(repository, "checkout", "-q", "-b", "side", "good")
    write(repository, {"machine/main.ini": "[bed]\nsize = 9\n"})
    git(repository, "commit", "-qam", "other")
    subprocess.run(["git", *IDENTITY, "merge", "trunk"], cwd=repository, capture_output=True, check=False)
    with pytest.raises(SourceError, match=r"main\.ini has an unresolved conflict"):
        GitIndex(repository / "machine").read("main.ini")


def test_submodule_is_no_file(repository: Path) -> None:
    head = git(repository, "rev-parse", "HEAD")
    git(repository, "update-index", "--add", "--cacheinfo", f"160000,{head},machine/module")
    index = GitIndex(repository / "machine")
    assert not index.is_file("module")
    assert "module" not in index.files()
    with pytest.raises(SourceError, match="submodule"):
        index.read("module")


def test_large_file_is_not_read(repository: Path) -> None:
    with (repository / "machine" / "huge.ini").open("wb") as file:
        file.truncate(17 * 1024 * 1024)
    git(repository, "add", ".")
    with pytest.raises(SourceError, match="17 MiB"):
        GitIndex(repository / "machine").read("huge.ini")


def test_one_repository_serves_many_commits(repository: Path) -> None:
    shared = Repository(repository / "machine")
    assert shared.prefix == "machine"
    sizes = [size_of(GitCommit(shared.folder, name, repository=shared)) for name in ("good", "HEAD")]
    assert [*sizes, size_of(GitIndex(shared.folder, repository=shared))] == ["1", "2", "3"]


def test_bare_repository_and_linked_work_tree(repository: Path, tmp_path: Path) -> None:
    git(tmp_path, "clone", "-q", "--bare", str(repository), "bare.git")
    assert "machine/main.ini" in GitCommit(tmp_path / "bare.git", "good").files()
    git(repository, "worktree", "add", "-q", "--detach", str(tmp_path / "linked"), "good")
    assert size_of(GitIndex(tmp_path / "linked" / "machine")) == "1"
    (tmp_path / "way").symlink_to(repository / "machine")
    assert size_of(GitCommit(tmp_path / "way", "good")) == "1"


def test_line_ends_are_those_of_the_object(repository: Path) -> None:
    write(repository, {".gitattributes": "*.ini text eol=crlf working-tree-encoding=UTF-16\n"})
    git(repository, "add", ".gitattributes")
    assert GitIndex(repository / "machine").read("parts/fans.ini") == b"[fan]\n"


def make_hostile(root: Path, marker: Path) -> None:
    """Every setting that makes git run a program, each of which would leave a mark."""
    trap = root / ".git" / "trap"
    trap.write_text(f'#!/bin/sh\necho "$0 $*" >> "{marker}"\ncat\n')
    trap.chmod(0o755)
    write(root, {".gitattributes": "* filter=trap diff=trap merge=trap text working-tree-encoding=UTF-8\n"})
    for key in (
        "filter.trap.smudge",
        "filter.trap.clean",
        "filter.trap.process",
        "diff.trap.textconv",
        "diff.trap.command",
        "diff.external",
        "merge.trap.driver",
        "core.fsmonitor",
        "core.pager",
        "core.editor",
        "core.sshCommand",
        "core.askPass",
        "core.gitProxy",
        "core.alternateRefsCommand",
        "credential.helper",
        "gpg.program",
        "sequence.editor",
        "pager.ls-files",
        "pager.ls-tree",
        "pager.rev-parse",
        "pager.cat-file",
        "uploadpack.packObjectsHook",
        "remote.origin.uploadpack",
        "alias.ls-files",
        "alias.ls-tree",
        "alias.cat-file",
        "alias.rev-parse",
    ):
        configure(root, key, f"!{trap}" if key.startswith("alias") else str(trap))
    configure(root, "filter.trap.required", "true")
    configure(root, "log.showSignature", "true")
    hooks = root / ".git" / "hooks"
    hooks.mkdir(exist_ok=True)
    for name in (
        "post-index-change",
        "post-checkout",
        "pre-commit",
        "reference-transaction",
        "fsmonitor-watchman",
    ):
        (hooks / name).write_text(trap.read_text())
        (hooks / name).chmod(0o755)
    configure(root, "core.hooksPath", str(hooks))


def configure(root: Path, key: str, value: str) -> None:
    """Write one setting without reading the others."""
    subprocess.run(["git", "config", "--file", ".git/config", key, value], cwd=root, check=True)


def test_hostile_repository_runs_nothing(repository: Path, tmp_path: Path) -> None:
    marker = tmp_path / "marker"
    make_hostile(repository, marker)
    marker.unlink(missing_ok=True)
    machine = repository / "machine"
    assert size_of(GitIndex(machine)) == "3"
    assert size_of(GitCommit(machine, "good")) == "1"
    GitIndex(repository).read("machine/main.ini")
    assert not marker.exists()
    subprocess.run(["git", "status"], cwd=repository, check=False, capture_output=True)
    assert marker.exists(), "the traps are set: git itself steps into them"


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("remote.origin.url", "ssh://example.org/x"),
        ("remote.origin.url", "ext::sh -c touch% {marker}"),
        ("remote.origin.url", "."),
        ("remote.origin.vcs", "ext"),
    ],
)
def test_partial_clone_fetches_nothing(repository: Path, tmp_path: Path, key: str, value: str) -> None:
    marker = tmp_path / "marker"
    name = git(repository, "rev-parse", ":machine/main.ini")
    (repository / ".git" / "objects" / name[:2] / name[2:]).unlink()
    for one, setting in {
        "core.repositoryFormatVersion": "1",
        "extensions.partialClone": "origin",
        "remote.origin.promisor": "true",
        "remote.origin.url": ".",
        "remote.origin.uploadpack": f"touch {marker}; git-upload-pack",
        "protocol.allow": "always",
        "core.sshCommand": f"touch {marker};",
        key: value.format(marker=marker),
    }.items():
        configure(repository, one, setting)
    with pytest.raises(SourceError, match="does not have the content"):
        GitIndex(repository / "machine").read("main.ini")
    assert not marker.exists()
    assert GitIndex(repository / "machine").read("parts/fans.ini") == b"[fan]\n"
