"""Sources: what may be read, and one clear line for everything else."""

from __future__ import annotations

import os
import socket
from pathlib import Path

import pytest

from cfgaudit.source import (
    SIZE_LIMIT,
    Memory,
    MissingFile,
    OutsideRoot,
    Overlay,
    Source,
    SourceError,
    check_text,
)
from cfgaudit.working_tree import WorkingTree


def tree(root: Path, *allowed: str) -> WorkingTree:
    return WorkingTree(root, allowed)


def told(source: Source, path: str) -> str:
    """The message of the error that reading gives: always one line."""
    with pytest.raises(SourceError) as caught:
        source.read(path)
    assert "\n" not in str(caught.value)
    assert path in str(caught.value)
    return str(caught.value)


@pytest.fixture
def machine(tmp_path: Path) -> Path:
    """A machine's folder with something secret beside it."""
    (tmp_path / "secret.ini").write_text("[secret]\n")
    root = tmp_path / "machine"
    (root / "parts" / "deep").mkdir(parents=True)
    (root / ".git").mkdir()
    (root / ".git" / "config").write_text("[core]\n")
    (root / "main.ini").write_bytes(b"[axis x]\n\xff\n")
    (root / "parts" / "fans.ini").write_text("[fan]\n")
    (root / "parts" / "deep" / "down.ini").write_text("")
    return root


def test_reads_bytes_unchanged(machine: Path) -> None:
    assert tree(machine).read("main.ini") == b"[axis x]\n\xff\n"


@pytest.mark.parametrize(
    "path", ["./parts/fans.ini", "parts//fans.ini", "parts/deep/../fans.ini", "parts/fans.ini/"]
)
def test_spellings_of_a_path_are_one_file(machine: Path, path: str) -> None:
    assert tree(machine).read(path) == b"[fan]\n"
    assert tree(machine).is_file(path)
    memory = Memory({"parts/fans.ini": b"[fan]\n"})
    assert memory.read(path) == b"[fan]\n"


def test_lists_files_sorted_without_hidden_folders(machine: Path) -> None:
    assert list(tree(machine).files()) == ["main.ini", "parts/deep/down.ini", "parts/fans.ini"]


def test_a_folder_lists_names_and_marks_folders(machine: Path) -> None:
    assert tree(machine).folder("parts") == ("deep/", "fans.ini")
    assert tree(machine).folder("main.ini") is None
    assert tree(machine).folder("none") is None


def test_missing_file(machine: Path) -> None:
    for source in (tree(machine), Memory({})):
        with pytest.raises(MissingFile, match=r"none\.ini does not exist"):
            source.read("none.ini")
        assert not source.is_file("none.ini")


def test_file_where_a_folder_is_needed_is_missing(machine: Path) -> None:
    with pytest.raises(MissingFile):
        tree(machine).read("main.ini/fans.ini")


@pytest.mark.parametrize("path", ["a\0b", "x" * 5000, "x/" * 3000 + "y", "\ud800"])
def test_what_is_no_path_is_missing(machine: Path, path: str) -> None:
    assert not tree(machine).is_file(path)
    assert tree(machine).folder(path) is None
    with pytest.raises(MissingFile):
        tree(machine).read(path)


def test_folder_instead_of_file(machine: Path) -> None:
    assert "is a folder" in told(tree(machine), "parts")
    assert not tree(machine).is_file("parts")
    assert "is a folder" in told(Memory({"parts/a": b""}), "parts")


@pytest.mark.parametrize("path", ["../secret.ini", "parts/../../secret.ini", "/etc/hostname", ".."])
def test_outside_is_refused_by_its_spelling(machine: Path, path: str) -> None:
    for source in (tree(machine), Memory({"../secret.ini": b"x"})):
        with pytest.raises(OutsideRoot, match=r"cfgaudit\.toml"):
            source.read(path)
        assert not source.is_file(path)


def test_link_that_leaves_the_root_is_refused(machine: Path) -> None:
    (machine / "borrowed.ini").symlink_to("../secret.ini")
    said = r"borrowed\.ini is a link to .*secret\.ini, outside the main file's folder, and is not read: "
    with pytest.raises(OutsideRoot, match=said):
        tree(machine).read("borrowed.ini")
    assert not tree(machine).is_file("borrowed.ini")


def test_linked_folder_outside_is_listed_as_a_name_and_not_entered(machine: Path) -> None:
    (machine / "up").symlink_to("..")
    (machine / "beside").symlink_to(machine.parent.parent)
    source = tree(machine)
    assert not [path for path in source.files() if "secret" in path]
    assert source.folder("up") is None
    with pytest.raises(OutsideRoot):
        source.read("up/secret.ini")


def test_link_inside_the_root_is_followed(machine: Path) -> None:
    (machine / "same.ini").symlink_to("parts/fans.ini")
    (machine / "more").symlink_to("parts")
    source = tree(machine)
    assert source.read("same.ini") == source.read("more/fans.ini") == b"[fan]\n"
    assert source.is_file("same.ini")
    assert "more/fans.ini" in source.files()


def test_linked_folder_that_holds_itself_ends(machine: Path) -> None:
    (machine / "parts" / "again").symlink_to(".")
    (machine / "parts" / "deep" / "root").symlink_to(machine)
    (machine / "other").mkdir()
    (machine / "other" / "there").symlink_to("../parts")
    (machine / "parts" / "back").symlink_to("../other")
    files = list(tree(machine).files())
    assert "parts/again/fans.ini" not in files
    assert "other/there/fans.ini" in files
    assert len(files) < 1000


def test_link_to_itself_and_link_to_nothing(machine: Path) -> None:
    (machine / "round.ini").symlink_to("round.ini")
    (machine / "gone.ini").symlink_to("never.ini")
    assert "leads back to itself" in told(tree(machine), "round.ini")
    assert "does not exist" in told(tree(machine), "gone.ini")


@pytest.mark.parametrize("allowed", ["../secret.ini", "../*.ini", "../se?ret.ini", "..", "./../secret.ini"])
def test_outside_is_read_where_allowed_by_name(machine: Path, allowed: str) -> None:
    source = tree(machine, allowed)
    assert source.read("../secret.ini") == b"[secret]\n"
    assert source.is_file("../secret.ini")
    assert source.folder("..") is not None


@pytest.mark.parametrize("allowed", ["../other.ini", "../secret", "*", "**", "secret.ini", "../*/secret.ini"])
def test_allowing_another_name_allows_nothing(machine: Path, allowed: str) -> None:
    assert not tree(machine, allowed).is_file("../secret.ini")


@pytest.mark.parametrize("allowed", ["borrowed.ini", "../secret.ini", "{real}"])
def test_link_is_allowed_by_its_own_name_or_its_target(machine: Path, allowed: str) -> None:
    (machine / "borrowed.ini").symlink_to("../secret.ini")
    real = os.path.realpath(machine.parent / "secret.ini")
    assert tree(machine, allowed.format(real=real)).read("borrowed.ini") == b"[secret]\n"


def test_allowed_linked_folder_is_listed(machine: Path) -> None:
    (machine.parent / "shared").mkdir()
    (machine.parent / "shared" / "pins.ini").write_text("")
    (machine / "shared").symlink_to("../shared")
    assert tree(machine, "shared/*.ini").folder("shared") == ("pins.ini",)
    assert tree(machine, "../shared").is_file("shared/pins.ini")
    assert tree(machine).folder("shared") is None


def test_absolute_path_below_the_root_is_located(machine: Path) -> None:
    source = tree(machine)
    assert source.locate(str(machine / "parts" / "fans.ini")) == "parts/fans.ini"
    assert source.locate("parts/./fans.ini") == "parts/fans.ini"
    assert source.locate("/elsewhere/fans.ini") == "/elsewhere/fans.ini"


def test_root_reached_through_a_link(machine: Path) -> None:
    (machine.parent / "alias").symlink_to(machine)
    source = tree(machine.parent / "alias")
    assert source.read("parts/fans.ini") == b"[fan]\n"
    assert source.locate(str(machine.parent / "alias" / "main.ini")) == "main.ini"
    assert source.locate(str(machine / "main.ini")) == "main.ini"


def test_named_pipe_does_not_hang(machine: Path) -> None:
    os.mkfifo(machine / "pipe.ini")
    assert "no regular file" in told(tree(machine), "pipe.ini")
    assert not tree(machine).is_file("pipe.ini")


def test_socket_is_no_file(machine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(machine)  # a socket's path must be short
    with socket.socket(socket.AF_UNIX) as one:
        one.bind("plug.ini")
        assert "no regular file" in told(tree(machine), "plug.ini")


def test_device_is_no_file() -> None:
    assert "no regular file" in told(tree(Path("/dev")), "null")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_permission(machine: Path) -> None:
    (machine / "main.ini").chmod(0)
    assert "may not be read" in told(tree(machine), "main.ini")


def test_permission_error_is_told(machine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> int:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("cfgaudit.working_tree.os.open", refuse)
    assert "may not be read" in told(tree(machine), "main.ini")


def test_other_system_error_is_told(machine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> int:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr("cfgaudit.working_tree.os.open", fail)
    assert "Input/output error" in told(tree(machine), "main.ini")


def test_size_limit(machine: Path) -> None:
    with (machine / "huge.ini").open("wb") as file:
        file.truncate(50 * 1024 * 1024)
    with (machine / "full.ini").open("wb") as file:
        file.truncate(SIZE_LIMIT)
    message = told(tree(machine), "huge.ini")
    assert "huge.ini is 50 MiB; configuration files are small text files" in message
    assert len(tree(machine).read("full.ini")) == SIZE_LIMIT
    assert "MiB" in told(Memory({"huge.ini": bytes(SIZE_LIMIT + 1)}), "huge.ini")


def test_huge_folder_is_listed_in_part(machine: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cfgaudit.working_tree.FILES_AT_MOST", 50)
    for number in range(300):
        (machine / "parts" / f"{number}.ini").touch()
    files = list(tree(machine).files())
    assert "main.ini" in files
    assert len(files) <= 50


def test_deep_folder_ends(tmp_path: Path) -> None:
    deep = tmp_path.joinpath(*["deeper"] * 300)
    deep.mkdir(parents=True)
    (deep / "down.ini").touch()
    (tmp_path / "main.ini").touch()
    assert list(tree(tmp_path).files()) == ["main.ini"]


def test_memory_lists_like_a_folder() -> None:
    memory = Memory(
        {"main.ini": b"", "./parts//fans.ini": b"", ".git/config": b"", "../out.ini": b""}, "editor"
    )
    assert memory.label == "editor"
    assert list(memory.files()) == ["main.ini", "parts/fans.ini"]
    assert memory.folder("") == (".git/", "main.ini", "parts/")
    assert memory.folder("..") is None
    assert Memory({"../out.ini": b"x"}, allowed=("../*.ini",)).folder("..") == ("out.ini",)
    assert Memory({"../out.ini": b"x"}, allowed=("../*.ini",)).read("../out.ini") == b"x"
    assert Memory({"/opt/a/b.ini": b"x"}, allowed=("/opt/a",)).folder("/opt") == ("a/",)


def test_overlay_covers_its_base(machine: Path) -> None:
    source = Overlay(tree(machine), {"main.ini": b"new", "parts/extra.ini": b"more"}, "standard input")
    assert source.label == "standard input"
    assert source.read("main.ini") == b"new"
    assert source.read("parts/fans.ini") == b"[fan]\n"
    assert source.is_file("parts/extra.ini")
    assert source.is_file("parts/fans.ini")
    assert source.folder("parts") == ("deep/", "extra.ini", "fans.ini")
    assert "parts/extra.ini" in source.files()
    with pytest.raises(OutsideRoot):
        source.read("../secret.ini")
    assert Overlay(tree(machine), {}).label == "working tree"


BINARY = [
    b"\x7fELF\x02\x01\x01" + bytes(200),
    bytes(range(256)) * 40,
    b"\xff" * 4096,
    b"\x89PNG\r\n\x1a\n" + b"\0\0\0\rIHDR\0\0\1\0\0\0\1\0" * 20,
]


@pytest.mark.parametrize("data", BINARY)
def test_binary_is_refused(data: bytes) -> None:
    with pytest.raises(SourceError, match=r"^firmware\.bin is a binary file"):
        check_text("firmware.bin", data)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le"])
def test_utf_16_is_named(encoding: str) -> None:
    mark = b"\xff\xfe" if encoding.endswith("le") else b""
    with pytest.raises(SourceError, match="UTF-16"):
        check_text("main.ini", mark + "[axis x]\nlength = 200\n".encode(encoding))


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\0",
        b"[axis x]\n\0length = 200\n",
        "; стол печатает хорошо, не трогать\n[стол]\nдлина = 200\n".encode("cp1251") * 20,
        "[Düse]\nGröße = 0.4 ; Maß\n".encode("latin-1"),
        "[軸]\n長さ = 200\n".encode("shift-jis") * 10,
        b"\x1b[1mcolour\x1b[0m\f\v\t\r\n",
    ],
)
def test_text_with_a_flaw_is_text(data: bytes) -> None:
    check_text("main.ini", data)
