"""Words for messages about pins: the pin as its owner wrote it, and who uses it."""

from __future__ import annotations

import re

from cfgaudit.machine.model import PinUse
from cfgaudit.syntax.pin import Pin


def pin_text(use: PinUse) -> str:
    """``main.PB10``; behind an alias ``PB10 (alias bed-out)``."""
    written = spelled(use.pin, use.meaning.text)
    if use.via is None:
        return written
    target = use.via.pin
    board = target.board or use.pin.board
    return f"{f'{board} {target.name}' if board else target.name} (alias {use.via.name})"


def spelled(pin: Pin, text: str) -> str:
    """Board and pin with the separator that stands in the text; marks and further words left out."""
    if not pin.board:
        return pin.name
    board, name = re.escape(pin.board), re.escape(pin.name)
    found = re.search(rf"{board}\s*[:./]\s*{name}|{name}\s*@\s*{board}", text)
    return found.group() if found else f"{pin.board} {pin.name}"


def user_title(use: PinUse) -> str:
    """``heater bed``; for a section that names no part its own name."""
    if use.part is not None and use.part.kind != "other":
        return use.part.title
    return use.meaning.setting.section or "the settings before any section"
