"""Values that cannot be what their setting needs."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cfgaudit.checks.finding import Limits, Problem, Severity, Skip, Subject
from cfgaudit.checks.lookalikes import find_in_value
from cfgaudit.checks.placeholder_text import is_placeholder
from cfgaudit.checks.registry import check
from cfgaudit.syntax.read_value import has_decimal_comma
from cfgaudit.syntax.value import Dimension, Items, Number, Opaque, Value
from cfgaudit.vocabulary.catalogue import ROLES, RoleSpec
from cfgaudit.vocabulary.reading import Reading, SectionReading

NUMERIC = ("number", "numbers", "ratio")
MAYBE_COMMENT = re.compile(r"\s[;#]")
"""Behind such a mark may stand a comment that the file's other lines do not show to be one."""
PER_AXIS = ("travel.", "home.", "speed.", "accel.")

Found = tuple[SectionReading, Reading, RoleSpec]


def _known(subject: Subject) -> Iterator[Found]:
    """Every setting whose role the words decide."""
    for section in subject.reading.sections:
        for reading in section.readings:
            if reading.role is not None:
                yield section, reading, ROLES[reading.role]


def _subject(section: SectionReading, reading: Reading) -> str:
    return f"{section.section.key} {reading.setting.key}"


def _name(reading: Reading) -> str:
    setting = reading.setting
    return f"[{setting.section}] {setting.name}" if setting.section else setting.name


def _shown(reading: Reading) -> str:
    text = " ".join(reading.setting.value.split())
    return text if len(text) <= 50 else f"{text[:47]}..."


@check("empty-value")
def empty_value(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A setting without a value whose role needs one."""
    for section, reading, spec in _known(subject):
        if reading.setting.value.strip() or spec.shape in ("body", "any") or not section.parts:
            continue
        severity = None if spec.shape in (*NUMERIC, "pin") else Severity.NOTE
        message = f"{_name(reading)} has no value"
        yield Problem(reading.setting.place, message, _subject(section, reading), severity=severity)


@check("decimal-comma")
def decimal_comma(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A comma inside one number."""
    for section, reading, spec in _known(subject):
        if _has_decimal_comma(section, reading, spec):
            message = f"{_name(reading)} is {_shown(reading)}: the comma makes two numbers of it"
            advice = f"Write {_shown(reading).replace(',', '.')}."
            yield Problem(reading.setting.place, message, _subject(section, reading), advice=advice)


def _has_decimal_comma(section: SectionReading, reading: Reading, spec: RoleSpec) -> bool:
    if spec.shape != "number" or not has_decimal_comma(reading.setting.value):
        return False
    return not _may_be_a_pair(reading, reading.axis or section.axis)


def _may_be_a_pair(reading: Reading, axis: str | None) -> bool:
    """Whether the two numbers may be one for X and one for Y: where no axis is named, and both look alike."""
    role = reading.role or ""
    if axis is not None or not role.startswith(PER_AXIS):
        return False
    before, _, after = reading.setting.value.partition(",")
    digits = len(after) - len(after.lstrip("0123456789"))
    return role.startswith(("travel.", "home.")) or digits > 2 or after[:digits] == before.strip()


@check("wrong-value-shape")
def wrong_value_shape(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A text, or several numbers, where the role needs a number. Pins and names have rules of their own."""
    for section, reading, spec in _misfits(subject):
        if not _units(reading.value):
            message = f"{_name(reading)} is {_shown(reading)}, but {_needed(spec)} is needed"
            yield Problem(reading.setting.place, message, _subject(section, reading))


@check("unit-mismatch")
def unit_mismatch(subject: Subject, limits: Limits) -> Iterator[Problem | Skip]:
    """A number whose unit measures something else than the role."""
    for section, reading, spec in _misfits(subject):
        units = _units(reading.value)
        if units:
            unit, dimension = units[0]
            message = f"{_name(reading)} is {_shown(reading)}: {unit} measures {_noun(dimension)}"
            message += f", but {_needed(spec)} is needed"
            yield Problem(reading.setting.place, message, _subject(section, reading))


def _misfits(subject: Subject) -> Iterator[Found]:
    """Values that contradict a number's role and that no narrower rule speaks of."""
    for section, reading, spec in _known(subject):
        text = reading.setting.value
        if reading.fits or not text.strip() or spec.shape not in NUMERIC or isinstance(reading.value, Opaque):
            continue
        narrower = is_placeholder(text) or has_decimal_comma(text) or any(find_in_value(text))
        if not (narrower or MAYBE_COMMENT.search(text)):
            yield section, reading, spec


def _units(value: Value) -> list[tuple[str, Dimension]]:
    """The units in a value that is made of numbers."""
    if isinstance(value, Number):
        return [(value.unit, value.dimension)] if value.dimension is not Dimension.NONE else []
    if isinstance(value, Items) and all(isinstance(one, Number) for one in value.items):
        return [unit for one in value.items for unit in _units(one)]
    return []


def _needed(spec: RoleSpec) -> str:
    if spec.dimension in (Dimension.NONE, Dimension.RATIO):
        return (
            "a number from 0 to 1 or a percentage" if spec.dimension is Dimension.RATIO else "a plain number"
        )
    return f"{_noun(spec.dimension)} in {spec.base_unit}"


def _noun(dimension: Dimension) -> str:
    article = "an" if dimension.value[0] in "aeiou" else "a"
    return f"{article} {dimension.value}"
