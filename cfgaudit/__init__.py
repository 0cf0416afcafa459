"""cfgaudit reads the INI-style configuration of a 3D printer and says what is wrong with it."""

from __future__ import annotations

__version__ = "0.1.0"
