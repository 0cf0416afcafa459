"""The commands over git on a long history: ``python tests/benchmarks/history.py [COMMITS] [RUNS]``.

A generated repository of many commits over 60 files (6,000 lines), each of which changes one value or a few.
Measured are whole processes, in turn with what they are compared with (as in `check`): ``changes`` between
two marks against ``check``, and ``history`` of one setting over all commits against Python's `configparser`,
which reads every distinct content once. Needs git and a POSIX system.
"""

from __future__ import annotations

import random
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path

from check import PYTHON, Comparison, _shown, compare
from generate import write_trees

COMMITS, RUNS = 2000, 5
FOLLOWED = "heater station-07-01:highest"
FACT = "heater.station-07-01.watts"
FOLLOWED_LINE = re.compile(r"(?<=\[heater station-07-01\]\n)(?:[^\[\n]*\n)*?highest = ([\d.]+) °C")
NUMBER = re.compile(r"(?<=\S = )\d+(?:\.\d+)?(?= (?:°C|W|A|K|s|mm|ms|Hz))")
EVERY = 40
"""The followed setting is changed once in so many commits."""
MARKS = {"good/first": 1, "good/late": -60, "good/last": -1}
"""Marks, and the commits that they are on."""
READ_ALL = """
import configparser, subprocess, sys
def git(*words, data=b""):
    words = ["git", "-C", sys.argv[1], *words]
    return subprocess.run(words, input=data, capture_output=True, check=True).stdout
named = [line.split(b" ", 1) for line in git("rev-list", "--objects", "HEAD").splitlines() if b" " in line]
names = {name for name, path in named if path.endswith(b".ini")}
data, at, count = git("cat-file", "--batch", data=b"\\n".join(names) + b"\\n"), 0, 0
while at < len(data):
    end = data.index(b"\\n", at)
    after = end + 1 + int(data[at:end].split()[2])
    parser = configparser.ConfigParser(
        strict=False, allow_no_value=True, interpolation=None, delimiters=("=",),
        comment_prefixes=(";",), inline_comment_prefixes=(";",),
    )
    parser.read_string(data[end + 1:after].decode())
    at, count = after + 1, count + 1
print(count)
"""


def write_repository(folder: Path, commits: int) -> None:
    """A repository with so many commits, the same for the same number."""
    trees = write_trees(folder / "generated")
    root = trees.main.parent
    texts = {path.relative_to(root).as_posix(): path.read_text("utf-8") for path in trees.ini_files}
    made = folder / "machine"
    made.mkdir()
    _git(made, "init", "--quiet", "--initial-branch=work")
    _git(made, "fast-import", "--quiet", data="".join(_stream(texts, commits)).encode())
    _git(made, "reset", "--quiet", "--hard", "work")
    _git(made, "gc", "--quiet")


def _stream(texts: dict[str, str], commits: int) -> Iterator[str]:
    """What git-fast-import(1) reads."""
    chance = random.Random(6)
    seconds = 1_700_000_000
    marks = {number % (commits + 1): name for name, number in MARKS.items()}
    for number in range(1, commits + 1):
        seconds += 7200
        changed = list(texts) if number == 1 else _edit(texts, number, chance)
        yield f"commit refs/heads/work\nmark :{number}\ncommitter Odile <odile@example.org> {seconds} +0100\n"
        yield _data(f"Try step {number}")
        for path in changed:
            yield f"M 100644 inline {path}\n{_data(texts[path])}"
        if number in marks:
            yield f"tag {marks[number]}\nfrom :{number}\ntagger Odile <odile@example.org> {seconds} +0100\n"
            yield _data("printed well")


def _data(text: str) -> str:
    return f"data {len(text.encode())}\n{text}\n"


def _edit(texts: dict[str, str], number: int, chance: random.Random) -> list[str]:
    """Change one number, or one in each of three files; say in which."""
    if number % EVERY == 0:
        path = "stations/station-07.ini"
        found = FOLLOWED_LINE.search(texts[path])
        assert found is not None
        texts[path] = _put(texts[path], found.span(1), str(90 + number // EVERY % 30))
        return [path]
    paths = chance.sample([path for path in texts if "/" in path], 3 if number % 10 == 0 else 1)
    for path in paths:
        places = list(NUMBER.finditer(texts[path]))
        place = chance.choice(places)
        value = round(float(place[0]) * chance.choice((0.9, 1.1, 1.2)) + 0.1, 2)
        texts[path] = _put(texts[path], place.span(), f"{value:g}")
    return paths


def _put(text: str, span: tuple[int, int], new: str) -> str:
    return f"{text[: span[0]]}{new}{text[span[1] :]}"


def _git(folder: Path, *words: str, data: bytes = b"") -> None:
    subprocess.run(["git", *words], cwd=folder, input=data, check=True, capture_output=True)


def _cfgaudit(folder: Path, *words: str) -> list[str]:
    return [PYTHON, "-m", "cfgaudit", *words, "--main", str(folder / "main.ini")]


def _row(name: str, done: Comparison, against: str) -> str:
    told = f"{name:<34} {_shown(done.ours):>18}   {against:<24} {_shown(done.theirs):>18}"
    return f"{told}   ratio {done.ratio():.2f}"


def main() -> None:
    commits = int(sys.argv[1]) if len(sys.argv) > 1 else COMMITS
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else RUNS
    with tempfile.TemporaryDirectory() as scratch:
        write_repository(Path(scratch), commits)
        folder = Path(scratch, "machine")
        check = [PYTHON, "-m", "cfgaudit", "check", str(folder / "main.ini")]
        read = [PYTHON, "-c", READ_ALL, str(folder)]
        rows: Sequence[tuple[str, list[str], str, list[str]]] = (
            ("changes, 60 commits between", ["changes", "good/late", "good/last"], "check", check),
            ("changes, all commits between", ["changes", "good/first", "good/last"], "check", check),
            ("history of one setting", ["history", FOLLOWED], "configparser, all blobs", read),
            ("history of one fact", ["history", FACT], "configparser, all blobs", read),
        )
        print(f"{commits} commits, medians of {runs} runs")
        for name, ours, against, theirs in rows:
            done = compare(_cfgaudit(folder, *ours), theirs, runs)
            print(_row(name, done, against), flush=True)


if __name__ == "__main__":
    main()
