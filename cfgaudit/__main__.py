"""``python -m cfgaudit``."""

from __future__ import annotations

from cfgaudit.cli.main import main

if __name__ == "__main__":
    main()
