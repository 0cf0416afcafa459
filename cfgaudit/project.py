"""``cfgaudit.toml``: what a user says of one machine's configuration, read and validated."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from cfgaudit.paths import join
from cfgaudit.project_rules import read_house_rules, read_limits, read_severities
from cfgaudit.project_words import read_parts, read_roles, read_words
from cfgaudit.source import MissingFile, Source, SourceError
from cfgaudit.syntax.dialect import DETECT, Traits
from cfgaudit.toml_file import ProjectError as ProjectError
from cfgaudit.toml_file import TomlFile, parse_toml, shown
from cfgaudit.tree.names import fold_name
from cfgaudit.vocabulary.words import WordOverrides

if TYPE_CHECKING:
    from cfgaudit.checks.finding import Severity
    from cfgaudit.checks.rule import LimitValue, Rule

FILE = "cfgaudit.toml"
NO_OVERRIDES = WordOverrides()
WORD_TABLES = ("words", "parts", "roles")
KEYS = (
    "main",
    "vocabulary",
    "tree",
    "dialect",
    *WORD_TABLES,
    "chips",
    "hours",
    "rules",
    "limits",
    "firmware",
    "rule",
)

CHOICES: Mapping[str, tuple[str, ...]] = {
    "separator": ("=", ":", "mixed"),
    "header": ("kind", "space", "quoted", "dot", "colon"),
    "continuation": ("none", "indent", "backslash", "both"),
}
LISTS = ("comments", "includes")
TRAITS = (*CHOICES, *LISTS, "indented_entries", "machine_prefix")


@dataclass(frozen=True, slots=True)
class Project:
    """All of ``cfgaudit.toml``, the shared vocabulary files that it names included."""

    main: str | None = None
    """The main file, relative to the folder of ``cfgaudit.toml``."""
    vocabulary: tuple[str, ...] = ()
    """Shared vocabulary files, relative to the same folder."""
    allow: tuple[str, ...] = ()
    """Paths or globs outside the root that may be read."""
    traits: Traits = DETECT
    overrides: WordOverrides = NO_OVERRIDES
    """Of this file first, then of the shared vocabulary files."""
    severities: Mapping[str, Severity | None] = field(default_factory=dict)
    """A rule, and its severity here; None switches it off."""
    limits: Mapping[str, LimitValue] = field(default_factory=dict)
    """``rule.limit``, and its value here."""
    commands: frozenset[str] = frozenset()
    """The firmware's own commands, folded."""
    house: tuple[Rule, ...] = ()
    chips: Mapping[str, str] = field(default_factory=dict)
    """A board, and the part number of its chip."""
    hours: Mapping[str, float] = field(default_factory=dict)
    """A part that wears, as the builder calls it, and how many hours it may run."""


def read_project(source: Source, path: str = FILE) -> Project:
    """What the file says; a Project that says nothing where there is no such file.

    Raises ProjectError: one line with file, line, and what is expected.
    """
    file = _load(source, path)
    return Project() if file is None else _build(source, file)


def allowed_outside(source: Source, path: str = FILE) -> tuple[str, ...]:
    """What the file allows to be read outside the root: needed to open the source that reads the rest.

    The shared vocabulary files that it names are allowed with that. Raises ProjectError.
    """
    file = _load(source, path)
    return () if file is None else (*_read_allow(file), *_read_vocabulary_paths(file))


def _load(source: Source, path: str) -> TomlFile | None:
    try:
        return parse_toml(path, source.read(path))
    except MissingFile:
        return None
    except SourceError as error:
        raise ProjectError(str(error)) from None


def _build(source: Source, file: TomlFile) -> Project:
    file.known((), file.tables, KEYS)
    main = file.tables.get("main")
    house = tuple(read_house_rules(file))
    word_files = (file, *_read_vocabulary(source, file))
    return Project(
        main=None if main is None else file.text(("main",), main),
        vocabulary=_read_vocabulary_paths(file),
        allow=_read_allow(file),
        traits=_read_traits(file),
        overrides=_merge_words(word_files),
        severities=dict(read_severities(file, house)),
        limits=dict(read_limits(file, house)),
        commands=_read_commands(file),
        house=house,
        chips=_read_chips(file),
        hours=_read_hours(file),
    )


def _merge_words(files: tuple[TomlFile, ...]) -> WordOverrides:
    """What all files say; where two say something of the same section or setting, the first one counts."""
    words: dict[str, tuple[str, ...]] = {}
    parts: dict[str, tuple[str, ...]] = {}
    roles: dict[str, str] = {}
    for file in files:
        for concept, more in read_words(file):
            words[concept] = tuple(dict.fromkeys((*words.get(concept, ()), *more)))
        for section, kinds in read_parts(file):
            parts.setdefault(section, kinds)
        for setting, role in read_roles(file):
            roles.setdefault(setting, role)
    return WordOverrides(words, parts, roles)


def _read_vocabulary_paths(file: TomlFile) -> tuple[str, ...]:
    return file.texts(("vocabulary",), file.tables["vocabulary"]) if "vocabulary" in file.tables else ()


def _read_vocabulary(source: Source, file: TomlFile) -> Iterator[TomlFile]:
    """The shared vocabulary files, validated to hold words only."""
    folder = file.path.rpartition("/")[0]
    for path in _read_vocabulary_paths(file):
        try:
            shared = parse_toml(path, source.read(join(folder, path)))
        except SourceError as error:
            raise file.error(("vocabulary",), f"vocabulary: {error}") from None
        shared.known((), shared.tables, WORD_TABLES)
        yield shared


def _read_allow(file: TomlFile) -> tuple[str, ...]:
    table = file.table("tree")
    file.known(("tree",), table, ("allow",))
    return file.texts(("tree", "allow"), table["allow"]) if "allow" in table else ()


def _read_commands(file: TomlFile) -> frozenset[str]:
    table = file.table("firmware")
    file.known(("firmware",), table, ("commands",))
    texts = file.texts(("firmware", "commands"), table["commands"]) if "commands" in table else ()
    return frozenset(fold_name(text) for text in texts)


def _read_chips(file: TomlFile) -> Mapping[str, str]:
    return {board: file.text(("chips", board), name) for board, name in file.table("chips").items()}


def _read_hours(file: TomlFile) -> Mapping[str, float]:
    limits: dict[str, float] = {}
    names: dict[str, str] = {}
    for part, value in file.table("hours").items():
        keys = ("hours", part)
        if not (folded := fold_name(part)):
            raise file.error(keys, "a limit of hours needs the part's name: belts = 500")
        if folded in names:
            raise file.error(keys, f"{part} and {names[folded]} are one part: leave one of the two limits")
        names[folded] = part
        limits[part] = _hours(file, keys, value)
    return limits


def _hours(file: TomlFile, keys: tuple[str, str], value: object) -> float:
    from cfgaudit.evidence.records.record import HOURS_AT_MOST  # most machines have no such limits

    if isinstance(value, int | float) and not isinstance(value, bool) and 0 < value <= HOURS_AT_MOST:
        return float(value)
    expected = f"a number of hours above 0 and up to {HOURS_AT_MOST:.0f}"
    raise file.error(keys, f"{keys[1]} must be {expected}, not {shown(value)}")


def _read_traits(file: TomlFile) -> Traits:
    table = file.table("dialect")
    file.known(("dialect",), table, TRAITS, kind="trait")
    given: dict[str, object] = {}
    for name, value in table.items():
        keys = ("dialect", name)
        if name in CHOICES:
            given[name] = file.choice(keys, value, CHOICES[name])
        elif name in LISTS:
            given[name] = file.texts(keys, value)
        elif isinstance(value, bool if name == "indented_entries" else str):
            given[name] = value
        else:
            expected = "true or false" if name == "indented_entries" else "a text"
            raise file.error(keys, f"{name} must be {expected}, not {value}")
    return Traits(**given)  # type: ignore[arg-type]
