"""Buses as far as the files show them: which kind, and who is on the same one."""

from __future__ import annotations

import re
from collections.abc import Iterable

from cfgaudit.machine.model import Machine, Meaning, Part
from cfgaudit.syntax.value import Boolean, Number, Opaque
from cfgaudit.tree.names import fold_name

CAN = re.compile(r"(?<![A-Za-z])(?:can|CAN|Can)(?:[Bb]us)?(?![a-z])|(?<=[a-z])C(?:an|AN)(?:[Bb]us)?(?![a-z])")
"""CAN as a word of its own: ``can0``, ``CAN bus``, ``canRate``, ``reached over CAN, 500 kbit/s``."""
CAN_FD = re.compile(r"(?:^|[^a-z])(?:fd|canfd)(?:[^a-z]|$)", re.IGNORECASE)
I2C = re.compile(r"(?:^|[^a-z0-9])i(?:2|²)c|(?:^|[^a-z])(?:iic|twi)(?:[^a-z]|$)", re.IGNORECASE)

CAN_SPEAKS = ("board.link", "board.bitrate", "board.address", "bus.name")


def texts_of(part: Part, roles: Iterable[str]) -> list[str]:
    """What a part is called, and names and values, as written, of its settings with these roles."""
    found = [one for role in roles for one in part.all(role) if not isinstance(one.value, Boolean)]
    texts = [text for meaning in found for text in (meaning.setting.name, meaning.setting.value)]
    return [*part.callings, *texts]


def on_can(part: Part) -> bool:
    """Whether what is written says that the part is on a CAN bus.

    Behind a device's path is a serial cable, unless path or rate speak of CAN themselves.
    """
    link = part.get("board.link")
    by_path = link is not None and link.text.strip(" \"'").startswith("/")
    return any(CAN.search(text) for text in texts_of(part, CAN_SPEAKS[:2] if by_path else CAN_SPEAKS))


def flexible_rate(part: Part) -> bool:
    """Whether anything in the part's section speaks of CAN FD, which allows more than classical CAN."""
    settings = part.section.settings
    return any(CAN_FD.search(text) for one in settings for text in (one.name, one.value))


def on_i2c(part: Part) -> bool:
    """Whether what is written says that the part is on an I²C bus."""
    texts = texts_of(
        part, ("bus.name", "bus.address", "bus.speed", "pin.clock", "pin.data_in", "pin.data_out")
    )
    return any(I2C.search(text) for text in texts)


def bus_name(part: Part) -> str | None:
    """The folded name of the bus that the part says it is on; for a board its link, if that names a bus."""
    for role in ("bus.name", "board.link"):
        meaning = part.get(role)
        if meaning is None or isinstance(meaning.value, Opaque) or not meaning.fits:
            continue
        text = meaning.text.strip().strip("\"'")
        return text if text.startswith("/") else fold_name(text)
    return None


def board_of(machine: Machine, part: Part) -> str:
    """The folded name of the board that the part is wired to, ``""`` where none is named."""
    for link in machine.from_part(part, "board"):
        return fold_name(link.target.name if link.target is not None else link.text)
    return ""


def address_of(meaning: Meaning) -> int | str:
    """An address as a number where it is one (``0x48``, ``72``), else its text, folded."""
    if isinstance(meaning.value, Number):
        return int(meaning.value.amount)
    text = meaning.text.strip().strip("\"'")
    try:
        return int(text, 0)
    except ValueError:
        return fold_name(text)
