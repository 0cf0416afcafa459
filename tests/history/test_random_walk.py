"""A machine is edited at random in a real repository; what is said of its changes must undo and redo them."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, precondition, rule

from cfgaudit.audit import understand
from cfgaudit.checks.finding import Subject
from cfgaudit.history.change import Change, ChangeKind, Side
from cfgaudit.history.comparing.compare import compare_machines
from cfgaudit.history.restoring.restore import plan_restore
from cfgaudit.history.states.states import States
from cfgaudit.project import Project
from cfgaudit.source import Memory, Overlay
from cfgaudit.tree.names import fold_name
from cfgaudit.working_tree import WorkingTree
from history.real_git import commit, git
from history.walker import FILES, Block, Manner, Settings, Walker

NAMES = ("heater bed", "heater cabin", "fan duct", "axis x", "axis y", "guard bed", "lamp front", "reel")
RENAMED = {
    "heater cabin": "heater shed",
    "fan duct": "fan tunnel",
    "lamp front": "lamp door",
    "reel": "spool",
}
KEYS = (
    "drive",
    "lowest",
    "highest",
    "top speed",
    "top acceleration",
    "runs with",
    "watches",
    "weight",
    "notes",
)
VALUES = {
    "drive": ("PA1", "PB2", "!PC13", "PD4"),
    "lowest": ("0", "5 °C", "-10"),
    "highest": ("110", "65 °C", "300"),
    "top speed": ("300 mm/s", "250", "400"),
    "top acceleration": ("3000", "4500 mm/s²", "9000"),
    "runs with": ("heater bed", "heater cabin", "fan duct"),
    "watches": ("heater bed", "heater nozzle"),
    "weight": ("1.5", "2.25", "800 g"),
    "notes": ("oiled in spring", "G28\nG1 Z5 F600\nM84", "borrowed from Ada"),
}
FEW = settings(
    max_examples=25,
    stateful_step_count=12,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


def said(subject: Subject) -> Settings:
    """The effective settings, under folded names."""
    return {(fold_name(one.section), one.key): one.value for one in subject.tree.settings()}


def folded(known: Settings) -> Settings:
    return {(fold_name(section), fold_name(key)): value for (section, key), value in known.items()}


def applied(changes: tuple[Change, ...], known: Settings) -> Settings:
    """What settings become by changes, by nothing but what these say. What has no effect is passed over."""
    names = {
        fold_name(one.before.section): one.after.section
        for one in changes
        if _renames_section(one) and one.before and one.after
    }
    result = {
        (fold_name(names.get(section, section)), key): names.get(fold_name(value), value)
        for (section, key), value in known.items()
    }
    counting = [one for one in changes if one.effective and not _renames_section(one)]
    for one in (each for change in counting if change.before for each in change.before.settings):
        section = fold_name(one.section)
        result.pop((fold_name(names.get(section, section)), fold_name(one.setting)), None)
    for one in (each for change in counting if change.after for each in change.after.settings):
        result[fold_name(one.section), fold_name(one.setting)] = one.value
    return result


def _is_one_line(change: Change, before: Subject, after: Subject) -> bool:
    """Whether a change is of a value that stands once, on one line, before and after."""
    if change.kind is not ChangeKind.CHANGED or change.before is None or change.after is None:
        return False
    if not change.effective or "\n" in change.before.value + change.after.value:
        return False
    authors = {side.settings[0].author for side in (change.before, change.after)}
    return len(authors) == 1 and _places(before, change.before) == _places(after, change.after) == 1


def _places(subject: Subject, side: Side) -> int:
    """How many places say what one side of a change is about."""
    wanted = (fold_name(side.section), fold_name(side.settings[0].setting))
    found = [one for one in subject.tree.settings() if (fold_name(one.section), one.key) == wanted]
    return len(found[0].occurrences)


def _renames_section(change: Change) -> bool:
    return change.kind is ChangeKind.RENAMED and not change.setting


class RandomWalk(RuleBasedStateMachine):
    """Rules edit; looking back compares with an earlier commit."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp(prefix="walk-")).resolve()
        self.walker = Walker()
        self.commits: list[tuple[str, Settings]] = []

    def teardown(self) -> None:
        if self.commits:
            self._look_back(self.commits[0])
        shutil.rmtree(self.folder, ignore_errors=True)

    @initialize(data=st.data())
    def begin(self, data: st.DataObject) -> None:
        git(self.folder, "init", "--quiet", "--initial-branch=main")
        self.walker.blocks = {file: [] for file in FILES}
        self.walker.manners = {file: Manner() for file in FILES}
        for rank, name in enumerate(data.draw(st.lists(st.sampled_from(NAMES), unique=True, min_size=3))):
            self.walker.blocks[FILES[rank % 3]].append(Block(name, data.draw(some_settings())))
        self.commit()

    @rule()
    def commit(self) -> None:
        self._write()
        made = commit(self.folder, "as it is", {})
        self.commits.append((made, folded(self.walker.says())))

    @rule()
    def mark(self) -> None:
        self.commit()
        name = f"good/2026-11-10.{len(self.commits)}"
        git(self.folder, "tag", "--annotate", name, "--message=printed")
        self.commits.append((name, self.commits[-1][1]))

    @rule(data=st.data())
    def edit_value(self, data: st.DataObject) -> None:
        _, block = data.draw(st.sampled_from(self.walker.sections() or [("", Block("", {}))]))
        if block.settings:
            key = data.draw(st.sampled_from(sorted(block.settings)))
            block.settings[key] = data.draw(st.sampled_from(VALUES[key]))

    @rule(data=st.data(), key=st.sampled_from(KEYS))
    def add_setting(self, data: st.DataObject, key: str) -> None:
        if self.walker.sections():
            _, block = data.draw(st.sampled_from(self.walker.sections()))
            block.settings[key] = data.draw(st.sampled_from(VALUES[key]))

    @rule(data=st.data())
    def remove_setting(self, data: st.DataObject) -> None:
        filled = [block for _, block in self.walker.sections() if block.settings]
        if filled:
            block = data.draw(st.sampled_from(filled))
            del block.settings[data.draw(st.sampled_from(sorted(block.settings)))]

    @rule(data=st.data(), file=st.sampled_from(FILES), name=st.sampled_from(NAMES), comment=st.booleans())
    def add_section(self, data: st.DataObject, file: str, name: str, comment: bool) -> None:
        if name not in self.walker.names() and RENAMED.get(name) not in self.walker.names():
            at = data.draw(st.integers(0, len(self.walker.blocks[file])))
            block = Block(name, data.draw(some_settings()), "new this week" if comment else "")
            self.walker.blocks[file].insert(at, block)

    @rule(data=st.data())
    def remove_section(self, data: st.DataObject) -> None:
        if len(self.walker.names()) > 1:
            file, block = data.draw(st.sampled_from(self.walker.sections()))
            self.walker.blocks[file].remove(block)
            if block.name not in self.walker.names():
                self.walker.saved.pop(block.name, None)

    @rule(data=st.data(), file=st.sampled_from(FILES), key=st.sampled_from(KEYS))
    def overrule(self, data: st.DataObject, file: str, key: str) -> None:
        """A section is opened once more and says something again, or something else."""
        name = data.draw(st.sampled_from(self.walker.names()))
        block = Block(name, {key: data.draw(st.sampled_from(VALUES[key]))})
        self.walker.blocks[file].append(block)

    @rule(data=st.data())
    def rename_section(self, data: st.DataObject) -> None:
        both = {**RENAMED, **{new: old for old, new in RENAMED.items()}}
        able = [one for one in self.walker.names() if one in both]
        if able:
            old = data.draw(st.sampled_from(able))
            self.walker.rename(old, both[old])

    @rule(data=st.data(), file=st.sampled_from(FILES))
    def reorder(self, data: st.DataObject, file: str) -> None:
        self.walker.blocks[file] = data.draw(st.permutations(self.walker.blocks[file]))

    @rule(data=st.data(), file=st.sampled_from(FILES))
    def move_section(self, data: st.DataObject, file: str) -> None:
        if self.walker.sections():
            here, block = data.draw(st.sampled_from(self.walker.sections()))
            self.walker.blocks[here].remove(block)
            self.walker.blocks[file].append(block)

    @rule(
        file=st.sampled_from(FILES),
        separator=st.sampled_from((" = ", "=", ": ", "   = ")),
        gap=st.integers(0, 2),
        remarks=st.booleans(),
        end=st.sampled_from(("\n", "\r\n")),
    )
    def reformat(self, file: str, separator: str, gap: int, remarks: bool, end: str) -> None:
        self.walker.manners[file] = Manner(separator, gap, remarks, end)

    @rule(data=st.data(), key=st.sampled_from(("weight", "highest", "lowest")))
    def calibrate(self, data: st.DataObject, key: str) -> None:
        name = data.draw(st.sampled_from(self.walker.names()))
        value = data.draw(st.sampled_from(VALUES[key]))
        self.walker.saved.setdefault(name, {})[key] = value

    @rule(data=st.data())
    def forget_calibration(self, data: st.DataObject) -> None:
        if self.walker.saved:
            del self.walker.saved[data.draw(st.sampled_from(sorted(self.walker.saved)))]

    @precondition(lambda self: len(self.commits) > 0)
    @rule(data=st.data())
    def look_back(self, data: st.DataObject) -> None:
        self._look_back(data.draw(st.sampled_from(self.commits)))

    @precondition(lambda self: len(self.commits) > 0)
    @rule(data=st.data())
    def restore_one(self, data: st.DataObject) -> None:
        """One value goes back, and all other lines of all files are what they were."""
        self._write()
        before, after = self._two(self.commits[-1][0])
        every = compare_machines(before, after)
        able = [one for one in every if _is_one_line(one, before, after)]
        if not able:
            return
        one = data.draw(st.sampled_from(able))
        assert one.after is not None
        files = plan_restore([one], before, after, every).files
        assert list(files) == [one.after.where.file]
        old = after.tree.documents[one.after.where.file].data().split(b"\n")
        new = files[one.after.where.file].split(b"\n")
        differing = [rank for rank, (left, right) in enumerate(zip(old, new, strict=True)) if left != right]
        assert differing == [one.after.where.line - 1]

    def _write(self) -> None:
        for name, data in self.walker.texts().items():
            (self.folder / name).write_bytes(data)

    def _two(self, earlier: str) -> tuple[Subject, Subject]:
        states = States(WorkingTree(self.folder), "main.ini", Project(), self.folder)
        return states.subject(states.at(earlier)), states.subject(states.working_tree())

    def _look_back(self, earlier: tuple[str, Settings]) -> None:
        self._write()
        before, after = self._two(earlier[0])
        assert said(before) == earlier[1]
        assert said(after) == folded(self.walker.says())
        self._undone(before, after)
        self._undone(after, before)

    def _undone(self, then: Subject, now: Subject) -> None:
        """Changes from one state to another say all that differs, and undoing them all gives it back."""
        changes = compare_machines(then, now)
        assert applied(changes, said(then)) == said(now)
        plan = plan_restore(changes, then, now, changes)
        files = {path: document.data() for path, document in now.tree.documents.items()}
        restored = understand(Overlay(Memory(files), plan.files), "main.ini", Project())
        assert said(restored) == said(then)
        left = compare_machines(then, restored)
        assert [one for one in left if one.effective] == [], "a value without effect may have lost its place"


def some_settings() -> st.SearchStrategy[dict[str, str]]:
    pairs = st.sampled_from([(key, value) for key in KEYS for value in VALUES[key]])
    return st.lists(pairs, min_size=1, max_size=5).map(dict)


TestRandomWalk = RandomWalk.TestCase
TestRandomWalk.settings = FEW
