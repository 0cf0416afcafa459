"""Shares as people read them."""

from __future__ import annotations


def per_cent(share: float, digits: int = 0) -> str:
    """A share of 1 as ``12.6 %``, with so many digits behind the point."""
    return f"{100.0 * share:.{digits}f} %"
