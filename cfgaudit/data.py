"""Where the data files are: inside the package of an installed wheel, at the root of a checkout."""

from __future__ import annotations

from functools import cache
from pathlib import Path

PACKAGE = Path(__file__).parent


@cache
def data_folder(name: str) -> Path:
    """Folder of the data called ``name``: ``grammar``, ``rules`` or ``samples``.

    Raises FileNotFoundError, with both places that were tried, if the installation is incomplete.
    """
    packed, checkout = PACKAGE / "data" / name, PACKAGE.parent / name
    for folder in (packed, checkout):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"cfgaudit's {name} data is missing: neither {packed} nor {checkout} is a folder")
