"""The config tree as text and JSON."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from cfgaudit.report.json_form import Json, place_form
from cfgaudit.report.lines import BLANK, Line, Piece, breadth, counted, line, one_line, visible, wrapped
from cfgaudit.syntax.document import Entry, Header
from cfgaudit.tree.config_tree import ConfigTree, Occurrence, Setting

INDENT = "  "
TOLD_BY_DETAIL = ("include-cycle", "include-leaves-root", "include-unreadable")
"""Faults whose detail says more than the path that is written."""
DEEPEST = 12
"""Levels that are indented further; deeper files stand below one another."""


def tree_form(tree: ConfigTree) -> Json:
    """The report of ``tree``."""
    included_by: dict[str, list[str]] = {}
    for one in tree.inclusions:
        for path in dict.fromkeys(one.files):
            included_by.setdefault(path, []).append(one.file)
    return {
        "main": tree.main,
        "files": [_file_form(tree, path, included_by.get(path, ())) for path in tree.documents],
        "settings": [_setting_form(setting) for setting in tree.settings()],
    }


def _file_form(tree: ConfigTree, path: str, included_by: Iterable[str]) -> Json:
    sections, settings = _counts(tree, path)
    return {
        "path": path,
        "included_by": list(dict.fromkeys(included_by)),
        "sections": sections,
        "settings": settings,
    }


def _counts(tree: ConfigTree, path: str) -> tuple[int, int]:
    """The headers and the entries of one file."""
    kinds = Counter(type(node) for node in tree.documents[path].nodes)
    return kinds[Header], kinds[Entry]


def _setting_form(setting: Setting) -> Json:
    return {
        "section": setting.section,
        "setting": setting.name,
        "value": setting.value,
        "where": place_form(setting.place),
        "shadows": [_occurrence_form(one) for one in setting.shadows],
        "written_by": setting.effective.author,
    }


def _occurrence_form(occurrence: Occurrence) -> Json:
    return {"value": occurrence.value, "where": place_form(occurrence.place), "written_by": occurrence.author}


def tree_lines(tree: ConfigTree, width: int) -> Iterator[Line]:
    """The files as they include one another, how they are written, then every shadowed setting."""
    yield from _Branches(tree, width).lines()
    for fault in tree.faults:
        what = fault.detail if fault.kind in TOLD_BY_DETAIL else fault.target
        told = f"{fault.kind}: {what} ({fault.place.file}:{fault.place.line})"
        yield from wrapped(one_line(told), width, 2 * INDENT, "error", first=INDENT)
    yield from _shadowed(tree, width)
    if tree.strangers:
        yield BLANK
        yield line(Piece("Files here that nothing includes", "strong"))
        for path in tree.strangers:
            yield from wrapped(visible(path), width, INDENT)
    yield BLANK
    settings = sum(1 for _ in tree.settings())
    told = f"{counted(len(tree.documents), 'file')}, {counted(len(tree.sections), 'section')}"
    yield from wrapped(f"{told}, {counted(settings, 'setting')}.", width, 0)


def _shadowed(tree: ConfigTree, width: int) -> Iterator[Line]:
    shadowed = [setting for setting in tree.settings() if setting.shadows]
    if shadowed:
        yield BLANK
        yield line(Piece("Settings that are written more than once", "strong"))
        for setting in shadowed:
            yield from _shadow_lines(setting, width)


def _shadow_lines(setting: Setting, width: int) -> Iterator[Line]:
    yield from wrapped(one_line(f"[{setting.section}] {setting.name}"), width, 2 * INDENT, first=INDENT)
    for occurrence in (setting.effective, *setting.shadows):
        counts = occurrence is setting.effective
        by = "written by the machine, " if occurrence.author == "machine" else ""
        where = f"{occurrence.place.file}:{occurrence.place.line}"
        told = f"{occurrence.value}  ({where}, {by}{'counts' if counts else 'has no effect'})"
        yield from wrapped(one_line(told), width, 4 * INDENT, "" if counts else "faint", first=3 * INDENT)


@dataclass(slots=True)
class _Branches:
    """The files from the main one down, each with what it includes the first time that it is met."""

    tree: ConfigTree
    width: int
    children: dict[str, list[str]] = field(default_factory=dict)
    met: set[str] = field(default_factory=set)

    def lines(self) -> Iterator[Line]:
        for inclusion in self.tree.inclusions:
            self.children.setdefault(inclusion.file, []).extend(inclusion.files)
        waiting = [(self.tree.main, 0)]
        while waiting:
            path, depth = waiting.pop()
            yield from self._file(path, depth)
            if path not in self.met:
                self.met.add(path)
                yield from self._traits(path, depth)
                waiting += [(child, depth + 1) for child in reversed(self.children.get(path, []))]

    def _file(self, path: str, depth: int) -> Iterator[Line]:
        sections, settings = _counts(self.tree, path)
        told = f"{counted(sections, 'section')}, {counted(settings, 'setting')}"
        if path in self.met:
            told = "again, as above"
        name = INDENT * min(depth, DEEPEST) + visible(path)
        if breadth(name) + len(INDENT) + len(told) <= self.width:
            yield line(f"{name}{INDENT}", Piece(told, "faint"))
            return
        yield from wrapped(visible(path), self.width, INDENT * min(depth, DEEPEST))
        yield from wrapped(told, self.width, INDENT * (min(depth, DEEPEST) + 2), "faint")

    def _traits(self, path: str, depth: int) -> Iterator[Line]:
        """How the main file is written; of the others only what they do in another way."""
        usual = self._values(self.tree.main) if path != self.tree.main else {}
        for trait, value, reason in self.tree.documents[path].dialect.reasons:
            if trait not in usual or (value != usual[trait] and _is_shown(trait, value)):
                yield from self._trait(f"{trait.replace('_', ' ')}: {_reason(value, reason)}", depth)

    def _trait(self, told: str, depth: int) -> Iterator[Line]:
        indent = INDENT * (min(depth, DEEPEST) + 1)
        yield from wrapped(one_line(told), self.width, f"{indent}  ", "faint", first=f"{indent}· ")

    def _values(self, path: str) -> Mapping[str, str]:
        return {trait: value for trait, value, _ in self.tree.documents[path].dialect.reasons}


def _reason(value: str, reason: str) -> str:
    return f"{value} ({reason})" if value else f"none ({reason})"


def _is_shown(trait: str, value: str) -> bool:
    """Whether it says anything that a file does without this trait: most files have no include."""
    return bool(value) and value not in ("none", "no") and trait != "includes"
