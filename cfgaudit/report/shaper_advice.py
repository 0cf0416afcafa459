"""Which shaper to take for a resonance, and why, in words."""

from __future__ import annotations

from cfgaudit.evidence.vibration.resonance import Resonance
from cfgaudit.evidence.vibration.shaper_choice import Candidate, Verdict, bears, meets
from cfgaudit.report.per_cent import per_cent

NOTICEABLE = 1.05
"""Times the configured shaper's acceleration from which another one's is worth a word."""


def advice(found: Resonance) -> str:
    """What to take, and why."""
    now = found.choice.configured
    if now is not None and meets(now, found.wanted):
        return _stay(found, now)
    return f"{_change(found)}{_as_it_is(now)}"


def _named(one: Candidate) -> str:
    return f"{one.kind} at {one.frequency:.1f} Hz"


def _asked(found: Resonance) -> str:
    return f"{100.0 * found.leaves:g} %"


def _stay(found: Resonance, now: Candidate) -> str:
    best = found.choice.recommended
    told = (
        f"{_named(now)}, as configured, can stay: it leaves {per_cent(now.remains, 1)} of the vibration, "
        f"where {_asked(found)} may be left"
    )
    if now.rounding is not None:
        told += f", and rounds a reversal by {now.rounding:.3f} mm, where {found.budget:g} mm may be"
    if best.ceiling < NOTICEABLE * now.ceiling:
        return f"{told}."
    return (
        f"{told}. {_named(best)} with damping {best.damping:.3f} would leave {per_cent(best.remains, 1)}, "
        f"and allow {acceleration_text(best.ceiling)} instead of {acceleration_text(now.ceiling)}."
    )


def _change(found: Resonance) -> str:
    best = found.choice.recommended
    take = f"{_named(best)} with damping {best.damping:.3f}"
    if found.choice.verdict is Verdict.LEAVES:
        return (
            f"No shaper leaves {_asked(found)} or less. {take} leaves least, {per_cent(best.remains, 1)}. "
            "Look first for what rings so widely: a loose belt, a worn bearing, a table that sways."
        )
    told = f"Take {take}: of those that leave at most {_asked(found)} it rounds least"
    if found.choice.verdict is Verdict.FITS or best.rounding is None:
        return f"{told}; up to {acceleration_text(best.ceiling)} by no more than {found.budget:g} mm."
    return (
        f"{told}, but at the configured acceleration by {best.rounding:.3f} mm: lower that to "
        f"{acceleration_text(best.ceiling)}, or let more be rounded (--budget)."
    )


def robust(found: Resonance) -> str:
    """The shaper that rounds least of those that bear what rings elsewhere, if that is not the one to take.

    Nothing where none does within the rounding budget, or where no acceleration is configured.
    """
    now, wanted = found.choice.configured, found.wanted
    taken = now if now is not None and meets(now, wanted) else found.choice.recommended
    ringing = [one.frequency for one in found.modes]
    if wanted.acceleration is None or bears(taken, ringing):
        return ""
    wide = [one for one in found.choice.candidates if meets(one, wanted) and bears(one, ringing)]
    best = max(wide, key=lambda one: one.ceiling, default=None)
    if best is None or best.band is None or best.rounding is None:
        return ""
    low, high = best.band
    return (
        f"{_named(best)} damps {low:.0f} to {high:.0f} Hz and rounds {best.rounding:.3f} mm: take that if "
        "the axis rings differently over the bed, or with another load."
    )


def _as_it_is(now: Candidate | None) -> str:
    return "" if now is None else f" {_named(now)}, as configured, leaves {per_cent(now.remains, 1)}."


def acceleration_text(value: float) -> str:
    """Three digits: more are noise."""
    return f"{float(f'{value:.3g}'):.0f} mm/s²"
