"""How a reading compares with the truth."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from cfgaudit.audit import Audit
from cfgaudit.vocabulary.reading import Reading, SectionReading
from vocabulary.invented import Invented, Truth

PIN_OF_SOME_KIND = "pin.other"
"""For a pin whose use the words do not tell: true of every pin, so a miss of its role and no wrong one."""


@dataclass(frozen=True, slots=True)
class Score:
    """One setting: what it means, and what was read."""

    truth: Truth
    role: str | None
    axis: str | None

    @property
    def right(self) -> bool:
        return self.role == self.truth.role and self.axis == self.truth.axis

    @property
    def wrong(self) -> bool:
        """A role, or an axis with a right role, that the setting does not have."""
        if self.role is None or self.right:
            return False
        pin = self.truth.role is not None and self.truth.role.startswith("pin.")
        return not (pin and self.role == PIN_OF_SOME_KIND)


def score(invented: Invented, found: Audit) -> Iterator[Score]:
    """Every setting of an invented machine. An axis that only repeats the section's says nothing new."""
    read = {
        (section.section.name, reading.setting.name): (section, reading)
        for section in found.reading.sections
        for reading in section.readings
    }
    for truth in invented.truths:
        section, reading = read[truth.section.replace('"', ""), truth.key]
        yield Score(truth, reading.role, _axis(truth, section, reading))


def _axis(truth: Truth, section: SectionReading, reading: Reading) -> str | None:
    if reading.role is None or (truth.axis is None and reading.axis == section.axis):
        return None
    return reading.axis


def rates(scores: Iterable[Score]) -> tuple[float, float]:
    """The share that is right of the settings with a role, and the share that is wrong of all settings."""
    known = list(scores)
    with_role = [one for one in known if one.truth.role is not None]
    right = sum(one.right for one in with_role) / len(with_role)
    return right, sum(one.wrong for one in known) / len(known)


def misread_parts(invented: Invented, found: Audit) -> Iterator[tuple[str, tuple[str, ...], tuple[str, ...]]]:
    """Sections whose head is another kind, or that are read as a further kind that they are not."""
    truths = {name.replace('"', ""): kinds for name, kinds in invented.parts.items()}
    for section in found.reading.sections:
        truth = truths[section.section.name]
        kinds = tuple(part.kind for part in section.parts)
        if not kinds or kinds[0] not in truth or not set(kinds) <= set(truth):
            yield section.section.name, truth, kinds
