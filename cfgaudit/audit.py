"""The whole flow in one place: from a source and a main file to findings."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from cfgaudit.project import Project
from cfgaudit.source import Source

if TYPE_CHECKING:
    from datetime import datetime

    from cfgaudit.checks.finding import Findings, Subject
    from cfgaudit.checks.run import OnFault
    from cfgaudit.facts.fact import Facts
    from cfgaudit.machine.chips.chip import ChipLibrary
    from cfgaudit.machine.model import Machine
    from cfgaudit.syntax.parse import Parser
    from cfgaudit.tree.config_tree import ConfigTree
    from cfgaudit.vocabulary.reading import TreeReading


class Audit(NamedTuple):
    """What each stage made of one configuration."""

    subject: Subject
    findings: Findings

    @property
    def tree(self) -> ConfigTree:
        return self.subject.tree

    @property
    def reading(self) -> TreeReading:
        return self.subject.reading

    @property
    def machine(self) -> Machine:
        return self.subject.machine

    @property
    def facts(self) -> Facts:
        return self.subject.facts


def audit(
    source: Source,
    main: str,
    project: Project | None = None,
    *,
    library: ChipLibrary | None = None,
    on_fault: OnFault | None = None,
    parse: Parser | None = None,
    now: datetime | None = None,
) -> Audit:
    """Parse, resolve, understand and check the configuration whose main file is ``main``.

    ``library`` is where chips are looked up; without one, rules about chips are skipped. ``on_fault`` says
    what becomes of a rule that raises; by default it is reported as skipped. ``parse`` may be a parser that
    remembers, for whoever audits several states of the same files. ``now`` is the time, where records of
    later shall be told. Raises SourceError if the main file cannot be had.
    """
    from cfgaudit.checks.ruleset import load_rules
    from cfgaudit.checks.run import run_rules, skip_fault

    project = project or Project()
    subject = understand(source, main, project, library, parse, now)
    rules = load_rules(severities=project.severities, limits=project.limits, house=project.house)
    findings = run_rules(subject, rules, known=project.severities, on_fault=on_fault or skip_fault)
    return Audit(subject, findings)


def understand(
    source: Source,
    main: str,
    project: Project,
    library: ChipLibrary | None = None,
    parse: Parser | None = None,
    now: datetime | None = None,
) -> Subject:
    """All stages before the rules. Raises SourceError if the main file cannot be had."""
    from cfgaudit.checks.finding import Subject
    from cfgaudit.evidence.records.read import read_evidence
    from cfgaudit.facts.compute import compute_facts
    from cfgaudit.machine.build import build_machine
    from cfgaudit.tree.resolve import TreeOptions, resolve
    from cfgaudit.vocabulary.read import read_roles
    from cfgaudit.vocabulary.words import load_words

    options = TreeOptions(traits=project.traits)
    tree = resolve(source, main, options if parse is None else options._replace(parse=parse))
    words = load_words(project.overrides)
    reading = read_roles(tree, words)
    machine = build_machine(reading, library, project.chips)
    facts = compute_facts(machine)
    evidence = read_evidence(source, tree.documents, now)
    return Subject(tree, reading, machine, facts, project.commands, words, evidence, project.hours)


def audit_text(
    files: dict[str, str],
    project: str | None = None,
    *,
    encoding: str = "utf-8",
    library: ChipLibrary | None = None,
    on_fault: OnFault | None = None,
) -> Audit:
    """The audit of files in memory, the main file first. Raises ProjectError and SourceError."""
    from cfgaudit.project import FILE, allowed_outside, read_project
    from cfgaudit.source import Memory

    held = {path: text.encode(encoding, "surrogateescape") for path, text in files.items()}
    if project is not None:
        held[FILE] = project.encode()
    source = Memory(held, allowed=allowed_outside(Memory(held)))
    return audit(source, next(iter(files)), read_project(source), library=library, on_fault=on_fault)
