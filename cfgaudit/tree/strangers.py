"""Files that look like configuration and that no main file includes."""

from __future__ import annotations

from collections.abc import Collection

from cfgaudit.listing import walk
from cfgaudit.source import Source
from cfgaudit.syntax.dialect import Traits
from cfgaudit.tree.inspection import (
    includes_in,
    may_be_configuration,
    read_small,
    reads_as_configuration,
    suffix_of,
)
from cfgaudit.tree.lookup import Lookup

LISTED_AT_MOST = 5_000
CANDIDATES_AT_MOST = 200
"""Beyond either the folder is no configuration's own, and what lies in it says nothing."""


def find_strangers(
    source: Source, lookup: Lookup, reached: Collection[str], traits: Traits
) -> tuple[str, ...]:
    """Files with the suffix of a reached one that neither this main file nor any other includes, sorted.

    A file that includes others is taken for the main file of another machine, or for a part of one.
    """
    suffixes = {suffix_of(path) for path in reached} - {""}
    listing = walk(source, LISTED_AT_MOST)
    candidates = [
        path
        for path in listing.files
        if suffix_of(path) in suffixes and path not in reached and may_be_configuration(path)
    ]
    if not listing.complete or len(candidates) > CANDIDATES_AT_MOST:
        return ()
    texts = {path: data for path in candidates if (data := read_small(source, path)) is not None}
    used: set[str] = set()
    for path, data in texts.items():
        for include in includes_in(data, path, traits):
            used.update((path, *lookup.find(path, include).files))
    left = ((path, data) for path, data in texts.items() if path not in used)
    return tuple(path for path, data in left if reads_as_configuration(data, path, traits))
