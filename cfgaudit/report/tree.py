"""The config tree as text and JSON."""

from __future__ import annotations

from collections.abc import Iterator

from cfgaudit.report.json_form import Json, place_form
from cfgaudit.report.lines import BLANK, Line, Piece, counted, cut, line, visible, wrapped
from cfgaudit.syntax.document import Entry, Header
from cfgaudit.tree.config_tree import ConfigTree, Occurrence, Setting


def tree_form(tree: ConfigTree) -> Json:
    """The report of ``tree``."""
    return {
        "main": tree.main,
        "files": [_file_form(tree, path) for path in tree.documents],
        "settings": [_setting_form(setting) for setting in tree.settings()],
    }


def _file_form(tree: ConfigTree, path: str) -> Json:
    return {
        "path": path,
        "included_by": list(dict.fromkeys(one.file for one in tree.inclusions if path in one.files)),
        "sections": _count(tree, path, Header),
        "settings": _count(tree, path, Entry),
    }


def _count(tree: ConfigTree, path: str, kind: type) -> int:
    return sum(isinstance(node, kind) for node in tree.documents[path].nodes)


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
    """The files as they include one another, how each is written, then every shadowed setting."""
    yield from _file_lines(tree, tree.main, 0, (), width)
    for fault in tree.faults:
        told = f"{fault.kind}: {fault.target} ({fault.place.file}:{fault.place.line})"
        yield from wrapped(visible(told), width, "    ", "error", first="  ")
    shadowed = [setting for setting in tree.settings() if setting.shadows]
    if shadowed:
        yield BLANK
        yield line(Piece("Settings that are written more than once", "strong"))
        for setting in shadowed:
            yield from _shadow_lines(setting, width)
    if tree.strangers:
        yield BLANK
        yield line(Piece("Files here that nothing includes", "strong"))
        for path in tree.strangers:
            yield line("  ", visible(path))
    yield BLANK
    settings = sum(1 for _ in tree.settings())
    yield line(
        f"{counted(len(tree.documents), 'file')}, {counted(len(tree.sections), 'section')}, "
        f"{counted(settings, 'setting')}."
    )


def _file_lines(
    tree: ConfigTree, path: str, depth: int, above: tuple[str, ...], width: int
) -> Iterator[Line]:
    sections, settings = _count(tree, path, Header), _count(tree, path, Entry)
    told = f"{'  ' * depth}{visible(path)}"
    counts = f"  {counted(sections, 'section')}, {counted(settings, 'setting')}"
    yield line(told, Piece(counts, "faint"))
    if depth == 0:
        yield from _dialect_lines(tree, path, width)
    for inclusion in tree.inclusions:
        if inclusion.file == path:
            for file in inclusion.files:
                if file not in (*above, path):
                    yield from _file_lines(tree, file, depth + 1, (*above, path), width)


def _dialect_lines(tree: ConfigTree, path: str, width: int) -> Iterator[Line]:
    for trait, value, reason in tree.documents[path].dialect.reasons:
        yield line(Piece(cut(visible(f"  · {trait}: {value} ({reason})"), width), "faint"))


def _shadow_lines(setting: Setting, width: int) -> Iterator[Line]:
    yield line(cut(visible(f"  [{setting.section}] {setting.name}"), width))
    for occurrence in (setting.effective, *setting.shadows):
        counts = "counts" if occurrence is setting.effective else "has no effect"
        by = ", written by the machine" if occurrence.author == "machine" else ""
        where = f"{occurrence.place.file}:{occurrence.place.line}"
        value = " ".join(occurrence.value.split())
        yield line(cut(visible(f"      {value}  ({where}{by}; {counts})"), width))
