"""Which file is the main one, where nobody says."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cfgaudit.listing import walk
from cfgaudit.source import Source, SourceError
from cfgaudit.syntax.dialect import DETECT, Traits
from cfgaudit.tree.inspection import includes_in, may_be_configuration, read_small, reads_as_configuration
from cfgaudit.tree.lookup import Lookup

LISTED_AT_MOST = 5_000
READ_AT_MOST = 1_000
"""Files to look into, the nearest folders first."""
NAMED_AT_MOST = 6


def find_main(source: Source, traits: Traits = DETECT) -> str:
    """The path of the main file: the one that includes others and that no other includes.

    Where no file includes another it is the only configuration file there is. Of several, one in a folder
    nearer to the root counts before those in deeper ones; a path with a folder in it asks for a source
    that is rooted there. Raises SourceError for none and for several.
    """
    texts = _texts(source)
    targets = _targets(source, texts, traits)
    included = {target for path, files in targets.items() for target in files if target != path}
    mains = [path for path in targets if path not in included]
    if not mains and targets:
        names = _named(sorted(targets))
        raise SourceError(f"every file that includes others is included itself ({names})")
    candidates = mains or [path for path, data in texts.items() if reads_as_configuration(data, path, traits)]
    return _only(_nearest(candidates))


def _texts(source: Source) -> dict[str, bytes]:
    """Every small text file whose name may be a configuration's."""
    paths = [path for path in walk(source, LISTED_AT_MOST).files if may_be_configuration(path)]
    paths.sort(key=_depth)
    read = ((path, read_small(source, path)) for path in paths[:READ_AT_MOST])
    return {path: data for path, data in read if data is not None}


def _targets(source: Source, texts: dict[str, bytes], traits: Traits) -> dict[str, set[str]]:
    """Each configuration file that includes others, and these."""
    lookup = Lookup(source)
    targets: dict[str, set[str]] = {}
    for path, data in texts.items():
        includes = includes_in(data, path, traits)
        files = {file for include in includes for file in lookup.find(path, include).files}
        if includes and reads_as_configuration(data, path, traits, leads_to_files=bool(files)):
            targets[path] = files
    return targets


def _depth(path: str) -> int:
    return path.count("/")


def _nearest(paths: Iterable[str]) -> list[str]:
    """Those in the folders nearest to the root."""
    ranked = sorted(paths, key=lambda path: (_depth(path), path))
    return [path for path in ranked if _depth(path) == _depth(ranked[0])]


def _only(candidates: Sequence[str]) -> str:
    if not candidates:
        raise SourceError("no configuration file was found in this folder")
    if len(candidates) > 1:
        raise SourceError(f"{len(candidates)} files may be the main one ({_named(candidates)})")
    return candidates[0]


def _named(paths: Sequence[str]) -> str:
    more = len(paths) - NAMED_AT_MOST
    return ", ".join(paths[:NAMED_AT_MOST]) + (f" and {more} more" if more > 0 else "")
