"""Whether a board is reached over the USB port of its own chip."""

from __future__ import annotations

import re

from cfgaudit.machine.model import Part

_USB = re.compile(r"/usb-|/dev/ttyacm", re.IGNORECASE)
"""How Linux names what hangs on USB and says itself that it is a serial line (from memory)."""
_BRIDGE = re.compile(
    r"ch(?:340|341|9102)|cp210|ft(?:di|2\d\d)|pl2303|prolific|silicon_labs|1a86|wch|usb[^/]*serial|usb_uart|ttyusb"
    r"|mcp2200|16u2",
    re.IGNORECASE,
)
"""Chips that turn USB into a serial line (data sheets, from memory): then the board's own has no USB."""


def on_own_usb(board: Part | None) -> bool:
    """Whether the board's path names USB and no chip that would stand between USB and the board's own."""
    for link in board.all("board.link") if board is not None else ():
        path = link.text.strip().strip("\"'")
        if _USB.search(path) and not _BRIDGE.search(path):
            return True
    return False
