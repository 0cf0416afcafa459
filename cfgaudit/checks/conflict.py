"""Where a finding stands that two or more settings cause together."""

from __future__ import annotations

from cfgaudit.syntax.document import Place
from cfgaudit.tree.config_tree import ConfigTree


def at_later(tree: ConfigTree, *places: Place) -> tuple[Place, tuple[Place, ...]]:
    """The place that is read last, and the others: what was written last is what broke the agreement."""
    rank = {path: index for index, path in enumerate(tree.documents)}
    ordered = sorted(set(places), key=lambda place: (rank.get(place.file, len(rank)), place))
    return ordered[-1], tuple(ordered[:-1])
