"""The band that recordings of vibration are looked at in."""

from __future__ import annotations

LOWEST, HIGHEST = 5.0, 300.0
"""Hz. Where a printer's frame and carriage ring (common practice, no source)."""
