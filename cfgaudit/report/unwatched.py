"""Settings whose changes nobody watches, in one line."""

from __future__ import annotations

from collections.abc import Sequence

from cfgaudit.tree.config_tree import Setting

NAMED_AT_MOST = 6
NOT_WATCHED = "Not understood, so not watched"
CHANGED = "Changed since, and not understood"


def unwatched_text(title: str, settings: Sequence[Setting]) -> str:
    """``Not understood, so not watched: [mover x] pulley teeth, steps per mm``; empty where none are."""
    if not settings:
        return ""
    by_section: dict[str, list[str]] = {}
    for one in settings[:NAMED_AT_MOST]:
        by_section.setdefault(one.section, []).append(one.name)
    told = "; ".join(f"[{section}] {', '.join(names)}" for section, names in by_section.items())
    more = len(settings) - NAMED_AT_MOST
    return f"{title}: {told}" + (f", and {more} more" if more > 0 else "")
