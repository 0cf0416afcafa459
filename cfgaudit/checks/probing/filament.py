"""Filament watches that nothing follows."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Skip, Subject
from cfgaudit.checks.registry import check
from cfgaudit.machine.model import Machine, Part
from cfgaudit.syntax.document import Place
from cfgaudit.syntax.value import Boolean, Opaque


@check("filament-watch-idle")
def filament_watch_idle(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A watch that runs nothing, beside one that does.

    Alone it proves nothing, a firmware may stop by itself; nor where a setting is not understood.
    """
    watches = list(subject.machine.kind("filament"))
    acting = [watch for watch in watches if (place := _action(subject.machine, watch)) is not None]
    if not acting:
        return
    for watch in watches:
        if _is_idle(subject.machine, watch) and (place := _place(watch)) is not None:
            example = _action(subject.machine, acting[0])
            yield Problem(
                place,
                f"{watch.title} runs nothing when the filament ends, as {acting[0].title} does",
                subject=watch.title,
                related=(example,) if example is not None else (),
            )


def _action(machine: Machine, watch: Part) -> Place | None:
    """Where the watch names what it does: a macro, or a body of its own. A switch set to no is nothing."""
    for role in ("ref.macro", "macro.body"):
        for meaning in watch.all(role):
            off = isinstance(meaning.value, Boolean) and not meaning.value.value
            if not off and meaning.text.strip():
                return meaning.place
    return None


def _is_idle(machine: Machine, watch: Part) -> bool:
    """Whether it has a switch, does nothing, and nothing else may make use of it."""
    return (
        watch.get("pin.filament") is not None
        and not watch.unknown
        and _action(machine, watch) is None
        and not any(isinstance(meaning.value, Opaque) for meaning in watch.meanings)
        and not any(True for _ in machine.to_part(watch))
        and not any(True for _ in machine.mates(watch))
    )


def _place(watch: Part) -> Place | None:
    pin = watch.get("pin.filament")
    return pin.place if pin is not None else watch.place
