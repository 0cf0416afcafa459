"""Several files are written all or none: failures are injected at every step."""

from __future__ import annotations

import errno
import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from cli.permission import bound
from cli.program import contents, environment

from cfgaudit.history.restoring.rewrite import Rewrite, RewriteError, rewrite

OLD = {"one.ini": b"a = 1\n", "parts/two.ini": b"b = 1\r\n", "three.ini": b"\xff = 1"}
NEW = {name: data.replace(b"1", b"22") for name, data in OLD.items()}
BOTH = {name: Rewrite(OLD[name], NEW[name]) for name in OLD}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    root = tmp_path / "machine"
    (root / "parts").mkdir(parents=True)
    for name, data in OLD.items():
        (root / name).write_bytes(data)
    return root


def holds(folder: Path, files: dict[str, bytes]) -> bool:
    """Whether a folder holds these files and nothing else, hidden files included."""
    return {name: data for name, data in contents(folder).items() if data is not None} == files


def test_all_of_them(folder: Path) -> None:
    rewrite(folder, BOTH)
    assert holds(folder, NEW)


def test_permissions_stay(folder: Path) -> None:
    (folder / "one.ini").chmod(0o640)
    (folder / "three.ini").chmod(0o755)
    rewrite(folder, BOTH)
    modes = [stat.S_IMODE((folder / name).stat().st_mode) for name in OLD]
    assert modes[::2] == [0o640, 0o755]


@pytest.mark.skipif(os.name == "nt" or os.geteuid() != 0, reason="only root may give files away")
def test_the_owner_stays(folder: Path) -> None:
    os.chown(folder / "one.ini", 1234, 2345)
    rewrite(folder, BOTH)
    status = (folder / "one.ini").stat()
    assert (status.st_uid, status.st_gid) == (1234, 2345)


@pytest.mark.parametrize("step", [1, 2, 3])
@pytest.mark.parametrize("failure", [OSError(errno.ENOSPC, "No space left on device"), KeyboardInterrupt()])
def test_when_one_cannot_be_replaced_none_is(
    folder: Path, monkeypatch: pytest.MonkeyPatch, step: int, failure: BaseException
) -> None:
    real, done = os.replace, list[str]()

    def replace(source: str, target: str) -> None:
        done.append(target)
        if len(done) == step:
            raise failure
        real(source, target)

    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises((RewriteError, KeyboardInterrupt)) as caught:
        rewrite(folder, BOTH)
    assert holds(folder, OLD)
    if isinstance(failure, OSError):
        name = list(OLD)[step - 1]
        assert str(caught.value).startswith(
            f"{name} cannot be written (No space left on device), nothing is "
        )


@pytest.mark.parametrize("step", [1, 2, 3, 4])
def test_a_full_disk_while_the_new_texts_are_written(
    folder: Path, monkeypatch: pytest.MonkeyPatch, step: int
) -> None:
    real, done = os.fsync, list[int]()

    def fsync(handle: int) -> None:
        done.append(handle)
        if len(done) == step:
            raise OSError(errno.ENOSPC, "No space left on device")
        real(handle)

    monkeypatch.setattr(os, "fsync", fsync)
    if step <= len(OLD):
        with pytest.raises(RewriteError, match="No space left on device"):
            rewrite(folder, BOTH)
        assert holds(folder, OLD)
    else:
        rewrite(folder, BOTH)  # a folder that cannot be flushed is no reason to take anything back
        assert holds(folder, NEW)


def test_where_a_file_can_have_no_second_name(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As on a memory card's file system."""
    real = os.replace

    def link(source: str, target: str) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    def replace(source: str, target: str) -> None:
        if target.endswith("three.ini"):
            raise OSError(errno.EIO, "Input/output error")
        real(source, target)

    monkeypatch.setattr(os, "link", link)
    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises(RewriteError, match=r"^three\.ini cannot be written \(Input/output error\)"):
        rewrite(folder, BOTH)
    assert holds(folder, OLD)


def test_when_nothing_can_be_put_back_the_old_text_is_kept_and_named(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, done = os.replace, list[str]()

    def replace(source: str, target: str) -> None:
        done.append(target)
        if len(done) > 1:
            raise OSError(errno.EIO, "Input/output error")
        real(source, target)

    monkeypatch.setattr(os, "replace", replace)
    with pytest.raises(RewriteError, match=r"neither new nor old can be written.*one\.ini \(in ") as caught:
        rewrite(folder, BOTH)
    kept = Path(str(caught.value).partition("(in ")[2].partition(")")[0])
    assert kept.read_bytes() == OLD["one.ini"]


@pytest.mark.parametrize("name", list(OLD))
def test_a_file_that_was_changed_meanwhile(folder: Path, name: str) -> None:
    (folder / name).write_bytes(b"somebody else's\n")
    with pytest.raises(
        RewriteError, match=f"^{name} was changed meanwhile, nothing is written: run it again$"
    ):
        rewrite(folder, BOTH)
    assert holds(folder, {**OLD, name: b"somebody else's\n"})


def test_a_file_that_is_gone(folder: Path) -> None:
    (folder / "three.ini").unlink()
    with pytest.raises(RewriteError, match=r"^three\.ini cannot be written \(No such file or directory\)"):
        rewrite(folder, BOTH)
    assert holds(folder, {name: OLD[name] for name in ("one.ini", "parts/two.ini")})


def test_a_link_stays_and_what_it_leads_to_is_written(folder: Path) -> None:
    (folder / "three.ini").rename(folder / "parts" / "real.ini")
    (folder / "three.ini").symlink_to("parts/real.ini")
    rewrite(folder, BOTH)
    assert (folder / "three.ini").readlink() == Path("parts/real.ini")
    assert (folder / "parts" / "real.ini").read_bytes() == NEW["three.ini"]
    assert not list(folder.rglob(".*"))


@pytest.mark.parametrize("linked", ["file", "folder"])
def test_a_link_that_leads_out_is_not_followed(folder: Path, tmp_path: Path, linked: str) -> None:
    away = tmp_path / "away"
    away.mkdir()
    (away / "two.ini").write_bytes(OLD["parts/two.ini"])
    if linked == "file":
        (folder / "parts" / "two.ini").unlink()
        (folder / "parts" / "two.ini").symlink_to(away / "two.ini")
    else:
        (folder / "parts" / "two.ini").unlink()
        (folder / "parts").rmdir()
        (folder / "parts").symlink_to(away)
    with pytest.raises(
        RewriteError, match=r"^parts/two\.ini lies outside the main file's folder and is not "
    ):
        rewrite(folder, BOTH)
    assert (away / "two.ini").read_bytes() == OLD["parts/two.ini"]
    assert (folder / "one.ini").read_bytes() == OLD["one.ini"]


@pytest.mark.parametrize("path", ["../out.ini", "/tmp/out.ini", "parts/../../out.ini"])
def test_no_path_that_leaves_the_root(folder: Path, path: str) -> None:
    (folder.parent / "out.ini").write_bytes(b"a = 1\n")
    with pytest.raises(RewriteError, match="lies outside the main file's folder"):
        rewrite(folder, {path: Rewrite(b"a = 1\n", b"a = 2\n")})
    assert (folder.parent / "out.ini").read_bytes() == b"a = 1\n"


@pytest.mark.parametrize("name", [".git", ".GIT"])
def test_nothing_in_git_s_own_folder(folder: Path, name: str) -> None:
    (folder / name).mkdir()
    (folder / name / "config").write_bytes(b"a = 1\n")
    (folder / "four.ini").symlink_to(f"{name}/config")
    with pytest.raises(RewriteError, match=r"^four\.ini lies in git's own folder and is not written"):
        rewrite(folder, {**BOTH, "four.ini": Rewrite(b"a = 1\n", b"a = 2\n")})
    assert (folder / name / "config").read_bytes() == b"a = 1\n"
    assert (folder / "one.ini").read_bytes() == OLD["one.ini"]


PROGRAM = """
import sys
from pathlib import Path
from cfgaudit.history.restoring.rewrite import Rewrite, RewriteError, rewrite
try:
    rewrite(Path(sys.argv[1]), {"parts/two.ini": Rewrite(b"b = 1\\r\\n", b"new\\n")})
except RewriteError as error:
    print(error)
"""


@pytest.mark.parametrize(
    ("locked", "told"),
    [
        ("parts/two.ini", "parts/two.ini may not be written: change its permissions or its owner\n"),
        (
            "parts",
            "parts/two.ini cannot be written (Permission denied), nothing is changed: check its folder's ",
        ),
    ],
)
def test_what_this_user_may_not_write(folder: Path, locked: str, told: str) -> None:
    (folder / locked).chmod(0o555 if locked == "parts" else 0o444)
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(folder)],
        env=environment(),
        preexec_fn=bound(),
        capture_output=True,
        text=True,
        check=True,
    )
    (folder / locked).chmod(0o755)
    assert done.stdout.startswith(told)
    assert holds(folder, OLD)
