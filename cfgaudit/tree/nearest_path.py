"""What a missing include most likely means. Imported only where one is missing."""

from __future__ import annotations

import posixpath
from itertools import islice

from cfgaudit.nearest import nearest
from cfgaudit.paths import alike, is_backup, is_hidden, join
from cfgaudit.source import Source

NAMES_AT_MOST = 2_000
"""Names to compare: comparing is slow, and a suggestion out of more would be chance."""


def nearest_path(source: Source, including: str, target: str) -> str:
    """The existing path that a missing ``target`` most likely means; empty if none is near.

    The same name in another folder comes first, then the most similar name, in the same folder if it can
    be. Only files with the target's suffix count.
    """
    wanted = join(posixpath.dirname(including), target.replace("\\", "/"))
    folder, name = posixpath.split(wanted)
    suffix = posixpath.splitext(name)[1].lower()
    paths = [path for path in source.files() if path.lower().endswith(suffix) and not is_hidden(path)]
    paths = [path for path in paths if path != including and not is_backup(path)]
    for path in paths:
        if alike(posixpath.basename(path)) == alike(name):
            return path
    beside = {posixpath.basename(path): path for path in paths if posixpath.dirname(path) == folder}
    elsewhere = {posixpath.basename(path): path for path in paths}
    for names in (beside, elsewhere):
        near = nearest(name, islice(names, NAMES_AT_MOST)) if name else None
        if near is not None:
            return names[near]
    return ""
