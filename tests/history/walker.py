"""A machine's files as a person and a machine edit them: held as sections, written out as text.

Nothing of the program is used here: what the files say is known from how they were made.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

FILES = ("heat.ini", "motion.ini", "main.ini")
"""In the order in which they are read: the main file includes the others at its top."""
Settings = dict[tuple[str, str], str]
"""Section and key to value, spelled as written."""


@dataclass
class Block:
    """One section in one file."""

    name: str
    settings: dict[str, str]
    comment: str = ""


@dataclass
class Manner:
    """How a file is written at the moment; what it says is the same in any manner."""

    separator: str = " = "
    gap: int = 1
    remarks: bool = False
    end: str = "\n"


@dataclass
class Walker:
    """The files of one machine."""

    blocks: dict[str, list[Block]] = field(default_factory=dict)
    saved: dict[str, dict[str, str]] = field(default_factory=dict)
    """What the machine wrote, by section, at the end of the main file."""
    manners: dict[str, Manner] = field(default_factory=dict)

    def sections(self) -> list[tuple[str, Block]]:
        return [(file, block) for file in FILES for block in self.blocks[file]]

    def names(self) -> list[str]:
        return [block.name for _, block in self.sections()]

    def rename(self, old: str, new: str) -> None:
        """A section gets another name wherever it is opened, and whatever names it follows."""
        for _, block in self.sections():
            block.name = new if block.name == old else block.name
        if old in self.saved:
            self.saved[new] = self.saved.pop(old)
        for _, block in self.sections():
            block.settings |= {key: new for key, value in block.settings.items() if value == old}

    def says(self) -> Settings:
        """The effective settings: what the machine wrote counts."""
        said = {
            (block.name, key): value for _, block in self.sections() for key, value in block.settings.items()
        }
        for name, settings in self.saved.items():
            said |= {(name, key): value for key, value in settings.items()}
        return said

    def texts(self) -> dict[str, bytes]:
        return {file: self._text(file).encode() for file in FILES}

    def _text(self, file: str) -> str:
        manner = self.manners[file]
        lines = [f"; {file}", ""]
        if file == "main.ini":
            lines += ["%include heat.ini", "%include motion.ini", ""]
        for block in self.blocks[file]:
            lines += [*self._lines(block, manner), *[""] * manner.gap]
        while lines and not lines[-1]:
            del lines[-1]
        if file == "main.ini" and self.saved:
            lines += ["", ";~ below is what the machine measured", *self._saved()]
        return manner.end.join([*lines, ""])

    @staticmethod
    def _lines(block: Block, manner: Manner) -> Iterator[str]:
        if block.comment:
            yield f"; {block.comment}"
        yield f"[{block.name}]"
        for key, value in block.settings.items():
            remark = "  ; as measured" if manner.remarks and "\n" not in value else ""
            first, *rest = value.split("\n")
            yield f"{key}{manner.separator}{first}{remark}" if first else f"{key}{manner.separator.rstrip()}"
            yield from (f"    {line}" for line in rest)

    def _saved(self) -> Iterator[str]:
        for name, settings in self.saved.items():
            yield f";~ [{name}]"
            yield from (f";~ {key} = {value}" for key, value in settings.items())
