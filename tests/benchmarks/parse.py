"""Parsing time against ``configparser`` on the same text: ``python tests/benchmarks/parse.py [LINES]``.

Prints milliseconds, their ratio, and how the time grows with twice the lines. Each figure is the best of
several runs, since whatever else the machine does can only add to it.
"""

from __future__ import annotations

import configparser
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from generate import write_trees

from cfgaudit.syntax.parse import parse

RUNS = 9


def best(work: Callable[[], object]) -> float:
    """Milliseconds of the fastest run."""
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1000 * min(times)


def read_all(texts: list[bytes]) -> None:
    for text in texts:
        parse(text, "any.ini")


def read_all_by_configparser(texts: list[bytes]) -> None:
    for text in texts:
        parser = configparser.RawConfigParser(
            strict=False, allow_no_value=True, inline_comment_prefixes=(";",)
        )
        parser.read_string(text.decode())


def measure(lines: int) -> tuple[int, float, float]:
    """Lines that were written, and the milliseconds that both take for them."""
    with tempfile.TemporaryDirectory() as folder:
        trees = write_trees(Path(folder), lines=lines)
        texts = [path.read_bytes() for path in trees.ini_files]
    ours, theirs = best(lambda: read_all(texts)), best(lambda: read_all_by_configparser(texts))
    return trees.lines, ours, theirs


def main() -> None:
    lines = int(sys.argv[1]) if len(sys.argv) > 1 else 6000
    once, twice = measure(lines), measure(2 * lines)
    for written, ours, theirs in (once, twice):
        print(
            f"{written} lines: parse {ours:.1f} ms, configparser {theirs:.1f} ms, ratio {ours / theirs:.2f}"
        )
    print(f"{twice[0] / once[0]:.2f} times the lines take {twice[1] / once[1]:.2f} times as long")


if __name__ == "__main__":
    main()
