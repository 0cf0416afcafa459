"""The rate that the section of a CAN bus itself states: a section that is no board, called after the bus."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from cfgaudit.checks.buses import CAN, CAN_FD
from cfgaudit.checks.finding import Subject
from cfgaudit.machine.model import Part
from cfgaudit.machine.pieces import split_words
from cfgaudit.syntax.read_value import read_value
from cfgaudit.syntax.units import amount_as
from cfgaudit.syntax.value import Dimension, Number
from cfgaudit.tree.config_tree import Section, Setting
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.words import load_words

LABEL = re.compile(r"[^\s.:/\"'\[\]]+")
BUS_WORDS = frozenset({"can", "bus", "canbus", "network", "line", "interface"})
"""Words of a section's name that say nothing but that it is about the CAN bus."""
SLOWEST, FASTEST = 10_000, 8_000_000
"""bit/s; common practice, no source: other numbers are no rates of a CAN bus."""


class BusRate(NamedTuple):
    """A rate in bit/s and the setting that states it."""

    amount: float
    setting: Setting


def bus_rate(subject: Subject, bus: str, *, alone: bool) -> BusRate | None:
    """The rate of a bus by its folded name, if exactly one section states exactly one.

    ``alone``: no board is on another bus, so that a section for the CAN bus without a name is this one's.
    """
    parts = (part for part in subject.machine.kind("other", "board") if not _is_device(part))
    buses = [part.section for part in parts if _is_bus(part.section, bus, alone)]
    rates = [rate for section in buses for rate in _rates(subject, section)]
    return rates[0] if len(rates) == 1 else None


def _is_device(part: Part) -> bool:
    return any(part.get(role) for role in ("board.chip", "board.link", "board.address", "bus.name"))


def _is_bus(section: Section, bus: str, alone: bool) -> bool:
    labels = [fold_name(label) for label in LABEL.findall(section.name)]
    if bus and len(labels) > 1 and labels[-1] == bus:
        return True
    return alone and set(split_words(section.name)) <= BUS_WORDS and bool(CAN.search(section.name))


def _rates(subject: Subject, section: Section) -> Iterator[BusRate]:
    """What the section's words say of its speed; nothing where they speak of CAN FD, which has two rates."""
    if any(CAN_FD.search(text) for one in section.settings for text in (one.name, one.value)):
        return
    lexicon = (subject.words or load_words()).lexicon
    for setting in section.settings:
        concepts = [word.concept for word in lexicon.words(setting.name)]
        value = read_value(setting.value)
        amount = amount_as(value, Dimension.BITRATE) if isinstance(value, Number) else None
        speaks = "bitrate" in concepts or concepts == ["speed"]
        if speaks and amount is not None and SLOWEST <= amount <= FASTEST:
            yield BusRate(amount, setting)
