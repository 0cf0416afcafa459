"""The files of commits, told from what each changed, are those that ``git ls-tree`` lists."""

from __future__ import annotations

from pathlib import Path

from cfgaudit.history.git.commit_trees import CommitTrees
from cfgaudit.history.git.commits import read_steps
from cfgaudit.history.git.repository import Repository
from history.real_git import commit, git


def listed(folder: Path, revision: str) -> dict[str, tuple[bool, str]]:
    """Every path, whether it is a link, and the blob."""
    told = (line.split("\t") for line in git(folder, "ls-tree", "-r", revision).splitlines())
    return {path: (about.startswith("120000"), about.split()[2]) for about, path in told}


def test_each_commit_is_what_git_lists(folder: Path) -> None:
    """A file that only holds a name becomes a link to that name: the blob is the same one."""
    made = [commit(folder, "begin", {"main.ini": "heat.ini", "heat.ini": "[heater bed]\nhighest = 100\n"})]
    (folder / "main.ini").unlink()
    (folder / "main.ini").symlink_to("heat.ini")
    made.append(commit(folder, "a link", {}))
    git(folder, "switch", "--quiet", "--create", "side", made[0])
    commit(folder, "aside", {"fan/left.ini": "[fan left]\n"})
    git(folder, "switch", "--quiet", "work")
    git(folder, "mv", "heat.ini", "warm.ini")
    made.append(commit(folder, "moved", {}))
    git(folder, "merge", "--quiet", "--no-edit", "side")
    made.append(git(folder, "rev-parse", "HEAD"))
    repository = Repository(folder)
    trees = CommitTrees(read_steps(repository, "HEAD"))
    for one in [*made, *made[::-1]]:
        found = {path: (blob.mode == "120000", blob.name) for path, blob in trees.at(one).items()}
        assert found == listed(folder, one)
