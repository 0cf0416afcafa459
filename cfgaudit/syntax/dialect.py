"""How a file is written: the traits that a user fixes, and the detection of those left open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from cfgaudit.syntax.comment_marks import marks_in_use
from cfgaudit.syntax.document import Dialect, Entry, Header, Include, Node
from cfgaudit.syntax.entry_line import comment_start, set_off
from cfgaudit.syntax.lines import Line

GIVEN = "given, not detected"


class Traits(NamedTuple):
    """What a user has fixed of a dialect; None leaves a trait to detection. Values as in ``Dialect``."""

    comments: tuple[str, ...] | None = None
    separator: str | None = None
    header: str | None = None
    includes: tuple[str, ...] | None = None
    """The only include forms that count."""
    continuation: str | None = None
    indented_entries: bool | None = None
    """True: an indented line that reads as an entry is one, however deep it stands."""
    machine_prefix: str | None = None
    """Empty: no block is machine-written."""

    @property
    def ways(self) -> frozenset[str]:
        """The forms of continuation that count."""
        if self.continuation in (None, "both"):
            return frozenset({"indent", "backslash"})
        return frozenset({self.continuation or ""})


DETECT = Traits()


def comment_marks(text: str, lines: Sequence[Line], traits: Traits) -> tuple[tuple[str, ...], str]:
    """The comment marks in use, and why."""
    return marks_in_use(text, lines) if traits.comments is None else (traits.comments, GIVEN)


def separator_in_use(
    text: str, lines: Sequence[Line], marks: tuple[str, ...], traits: Traits
) -> tuple[str, str]:
    """``=``, ``:`` or ``mixed``, and why."""
    if traits.separator is not None:
        return traits.separator, GIVEN
    return separator_told(separators(text, lines, marks))


def separators(text: str, lines: Sequence[Line], marks: tuple[str, ...]) -> Counter[str]:
    """How many entries have which separators; that of several stretches of a text is the sum."""
    entries = (line for line in lines if line.kind == "ENTRY" and not line.joined)
    tally = Counter([_separators(text, line, marks) for line in entries])
    del tally[""]
    return tally


def separator_told(tally: Counter[str]) -> tuple[str, str]:
    """As `separator_in_use`, from what the whole text has."""
    total = tally.total()
    if not total:
        return "mixed", "no entry tells"
    equals, colons = (sum(tally[said] for said in tally if mark in said) for mark in "=:")
    first = "=" if 2 * sum(tally[said] for said in tally if said[0] == "=") >= total else ":"
    for mark in (first, "=:".replace(first, "")):
        if (equals if mark == "=" else colons) == total and not tally[f"{'=:'.replace(mark, '')}{mark}!"]:
            return mark, f"{total} of {total} entries have {mark}"
    return "mixed", f"{equals} of {total} entries have =, {colons} have :"


def _separators(text: str, line: Line, marks: tuple[str, ...]) -> str:
    """The separators of one entry in their order, with a ``!`` if only the first is set off."""
    end = comment_start(text, line.start, line.end, marks)
    equals, colon = text.find("=", line.start, end), text.find(":", line.start, end)
    if colon < 0:
        return "" if equals < 0 else "="
    if equals < 0:
        return ":"
    first, second = min(equals, colon), max(equals, colon)
    clear = set_off(text, first) and not set_off(text, second)
    return f"{text[first]}{text[second]}{'!' if clear else ''}"


def describe(
    text: str,
    nodes: Sequence[Node],
    lines: Sequence[Line],
    traits: Traits,
    marks: tuple[tuple[str, ...], str],
    separator: tuple[str, str],
    prefix: tuple[str | None, str],
) -> Dialect:
    """The whole dialect of a parsed file."""
    header, continuation = _header(nodes, traits), _continuation(lines, traits)
    indented, includes = _indented(text, nodes, traits), _includes(nodes, traits)
    reasons = (
        ("comments", " ".join(marks[0]), marks[1]),
        ("separator", *separator),
        ("header", *header),
        ("includes", ", ".join(includes[0]), includes[1]),
        ("continuation", *continuation),
        ("indented_entries", "yes" if indented[0] else "no", indented[1]),
        ("machine_prefix", prefix[0] or "", prefix[1]),
    )
    return Dialect(
        marks[0], separator[0], header[0], includes[0], continuation[0], indented[0], prefix[0], reasons
    )


def _header(nodes: Sequence[Node], traits: Traits) -> tuple[str, str]:
    if traits.header is not None:
        return traits.header, GIVEN
    forms = Counter(header_form(node.name) for node in nodes if isinstance(node, Header))
    total = forms.total()
    labelled = [(form, count) for form, count in forms.most_common() if form != "kind"]
    if not labelled:
        return "kind", f"no label in {counted(total, 'header')}"
    form, count = labelled[0]
    return form, f"{count} of {total} headers"


def header_form(name: str) -> str:
    """How kind and label stand in one header's name."""
    if name.endswith(('"', "'")) and not name.startswith(('"', "'")):
        return "quoted"
    if len(name.split(maxsplit=1)) > 1:
        return "space"
    if "." in name:
        return "dot"
    return "colon" if ":" in name else "kind"


def _includes(nodes: Sequence[Node], traits: Traits) -> tuple[tuple[str, ...], str]:
    met = Counter(node.form for node in nodes if isinstance(node, Include))
    if traits.includes is not None:
        return traits.includes, GIVEN
    return tuple(met), ", ".join(
        f"{counted(met[form], 'directive')} {form}" for form in met
    ) or "no directive"


def _continuation(lines: Sequence[Line], traits: Traits) -> tuple[str, str]:
    if traits.continuation is not None:
        return traits.continuation, GIVEN
    met = Counter(line.joined for line in lines if line.joined and line.kind != "NOTE")
    if not met:
        return "none", "no line continues a value"
    why = ", ".join(f"{counted(met[way], 'line')} by {way}" for way in sorted(met))
    return ("both" if len(met) == 2 else next(iter(met))), why


def _indented(text: str, nodes: Sequence[Node], traits: Traits) -> tuple[bool, str]:
    if traits.indented_entries is not None:
        return traits.indented_entries, GIVEN
    entries = [node for node in nodes if isinstance(node, Entry) and node.author == "hand"]
    count = sum(node.key_span.start > node.span.start and text[node.span.start].isspace() for node in entries)
    return 2 * count > len(entries), f"{count} of {len(entries)} entries stand indented"


def counted(count: int, one: str, many: str = "") -> str:
    """A count with its noun."""
    return f"{count} {one if count == 1 else many or one + 's'}"
