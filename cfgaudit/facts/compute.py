"""The engine: every maker of facts, in the order in which reports show them."""

from __future__ import annotations

from cfgaudit.facts import (  # each registers its makers
    axes,
    boards,
    drivers,
    heater_sensors,
    heaters,
    probing,
    ramps,
    shapers,
    step_rates,
    supplies,
)
from cfgaudit.facts.fact import MAKERS, Facts
from cfgaudit.machine.model import Machine

TOPICS = (axes, ramps, shapers, step_rates, drivers, probing, heaters, heater_sensors, supplies, boards)
"""The modules that makers stand in; a new one is added here."""

_RANK = {module.__name__: rank for rank, module in enumerate(TOPICS)}


def compute_facts(machine: Machine) -> Facts:
    """All that can be computed of a machine. Never fails: a missing or absurd input means no fact."""
    makers = sorted(MAKERS, key=lambda maker: _RANK.get(maker.__module__, len(_RANK)))
    return Facts(tuple(one for maker in makers for one in maker(machine)))
