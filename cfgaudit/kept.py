"""What takes long to make of the data files, kept between runs in a folder of the user's own.

Nothing is kept until `keep_in` has said where; what cannot be kept, or is broken, is made anew.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import TypeVar

Made = TypeVar("Made")

_folder: Path | None = None


def keep_in(folder: Path | None) -> None:
    """Keep results in ``folder`` from now on, or none. What stands there is trusted as the program itself."""
    global _folder
    _folder = folder


def kept(name: str, ingredients: Iterable[str], make: Callable[[], Made]) -> Made:
    """What ``make`` returns, from an earlier run if it was kept then.

    It is made of ``ingredients`` and nothing else: other ones, or another Python, are another file, so a
    file's content never changes. It must be of plain types that pickle takes.
    """
    if _folder is None:
        return make()
    file = _folder / f"{name}-{_digest(ingredients)}"
    try:
        made: Made = pickle.loads(file.read_bytes())
    except Exception:  # missing, cut off or damaged: pickle raises whatever the bytes lead it to
        made = make()
        _write(file, pickle.dumps(made))
    return made


def _digest(ingredients: Iterable[str]) -> str:
    whole = "\0".join([sys.version, *ingredients])
    return hashlib.sha256(whole.encode("utf-8", "surrogateescape")).hexdigest()[:20]


def _write(file: Path, data: bytes) -> None:
    """Write so that no other process ever sees half a file; that nothing can be written is no fault."""
    draft = file.with_name(f"{file.name}.{os.getpid()}")
    try:
        draft.write_bytes(data)
        os.replace(draft, file)
    except OSError:
        with suppress(OSError):
            draft.unlink()
