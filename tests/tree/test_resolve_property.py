"""Whatever files include whatever: resolving ends, raises nothing, and loses no setting."""

from __future__ import annotations

from contextlib import suppress

from hypothesis import given, settings
from hypothesis import strategies as st

from cfgaudit.source import Memory, SourceError
from cfgaudit.syntax.document import Entry
from cfgaudit.tree.resolve import resolve

FILES = ("main.ini", "a.ini", "B.ini", "b.ini", "p/a.ini", "p/c.ini", "p/q/d.ini", "../out.ini")
TARGETS = st.sampled_from(
    [
        *FILES,
        "*.ini",
        "**/*.ini",
        "p",
        "..",
        ".",
        "../*.ini",
        "p/../a.ini",
        "../a.ini",
        "none.ini",
        r"p\c.ini",
        "c.ini",
    ]
)
FORMS = st.sampled_from(
    [
        "%include {}",
        "!includedir {}",
        "[include {}]",
        "[include]\npath = {}",
        "include = {}",
        "#! %include {}",
    ]
)
INCLUDES = st.builds(lambda form, target: form.format(target), FORMS, TARGETS)
LINES = st.sampled_from(["[a]", "[b]", "k = 1", "l = 2", "#! [a]", "#! k = 3", "  more", "???", ""])
TEXTS = st.lists(st.one_of(INCLUDES, LINES), max_size=8).map("\n".join)


@settings(max_examples=150, deadline=None)
@given(st.fixed_dictionaries({"main.ini": TEXTS}, optional=dict.fromkeys(FILES[1:], TEXTS)), st.booleans())
def test_any_tree_resolves(files: dict[str, str], allow: bool) -> None:
    source = Memory({path: text.encode() for path, text in files.items()}, allowed=("..",) if allow else ())
    tree = resolve(source, "main.ini")
    assert allow or "../out.ini" not in tree.documents
    written = {id(one.entry) for setting in tree.settings() for one in setting.occurrences}
    entries = [node for one in tree.documents.values() for node in one.nodes if isinstance(node, Entry)]
    assert written == {id(entry) for entry in entries}
    for setting in tree.settings():
        assert any(one is setting.effective for one in setting.occurrences)
        assert len(setting.shadows) == len(setting.occurrences) - 1
    reached = {file for one in tree.inclusions for file in one.files}
    assert reached | {"main.ini"} == set(tree.documents)


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(st.sampled_from(FILES), st.binary(max_size=60)), st.text(max_size=20))
def test_any_bytes_resolve(files: dict[str, bytes], target: str) -> None:
    main = f"%include {target}\n[include]\npath = {target}\n".encode("utf-8", "surrogatepass")
    source = Memory({**files, "main.ini": main})
    if sum(byte < 32 for byte in main) > 10:  # with so many control characters it may count as no text
        with suppress(SourceError):
            resolve(source, "main.ini")
    else:
        assert resolve(source, "main.ini").main == "main.ini"
