"""The files of a pack read one by one, with every problem met on the way."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from pathlib import Path

from register.columns import SUBJECTS
from register.errors import Problem, RuleError
from register.rulebook.load import misplaced_files
from register.rulebook.load.dated_lines import read_lines
from register.rulebook.load.document import Document
from register.rulebook.load.files import shown
from register.rulebook.load.limits import limits_named, read_limits
from register.rulebook.load.rule_file import read_rule
from register.rulebook.model import Limit, Line, Override, Rule
from register.rulebook.tables import facts_table

TAKEN_IN = "taken-in.yml"
OWN_FILES = {"pack.yml", "limits.yml", "assumptions.yml", TAKEN_IN}
NO_THEMES = {"tables"}


class Reading:
    """What was read so far, and every problem met."""

    def __init__(self) -> None:
        self.rules: dict[str, Rule] = {}
        self.met: list[str] = []
        self.limits: dict[str, Limit] = {}
        self.own_limits: set[str] = set()
        self.overrides: list[Override] = []
        self.taken_in: tuple[Line, ...] = ()
        self.problems: list[Problem] = []
        self.files: set[str] = set()
        self.files_read: list[Path] = []
        self.connection = sqlite3.connect(":memory:")
        for subject in SUBJECTS:
            self.connection.execute(facts_table(subject))

    def head(self, folder: Path) -> tuple[str, str, str]:
        """Name, version and sentence of the pack."""
        if not folder.is_dir():
            raise RuleError(Problem("there is no such folder", "name a folder of rules", shown(folder)))
        document = Document(folder / "pack.yml")
        fields = document.fields(document.root, ("name", "version", "sentence"))
        self._took(document)
        name, version, sentence = (document.words(fields.get(k)) for k in ("name", "version", "sentence"))
        return name, version, sentence

    def site(self, folder: Path) -> None:
        """Take a site's limits and rules, then the lines that take rules in."""
        instead = misplaced_files.folder_meant(folder)
        if instead:
            self._wrong(shown(folder), *instead)
            return
        before, of_pack = len(self.files_read), set(self.met)
        self.folder(folder, required=(), trial=True)
        lines = folder / TAKEN_IN
        if lines.exists():
            document = Document(lines, may_be_empty=True)
            counting = {rule for rule in of_pack if rule in self.rules and not self.rules[rule].trial}
            on_trial = [rule for rule in self.met if rule not in counting]
            self.taken_in = read_lines(document, on_trial, counting=counting)
            self._took(document)
        tables = any(folder.glob("tables/*.csv"))
        if folder.is_dir() and len(self.files_read) == before and not self.problems and not tables:
            self._wrong(
                shown(folder), "there is no rule in it, and no limit", "put <theme>/<rule>.yml or limits.yml there"
            )

    def folder(self, folder: Path, *, required: tuple[str, ...], trial: bool = False) -> None:
        """Take the limits of a folder, then its rules."""
        if not folder.is_dir():
            self._wrong(shown(folder), *misplaced_files.NO_FOLDER)
            return
        limits = folder / "limits.yml"
        if limits.exists() or "limits.yml" in required:
            self._limits(limits, own=trial)
        for path in sorted(folder.glob("*/limits.yml")):
            # It is told to be moved; until then its limits shall not be missed by every rule.
            self.limits = limits_named(Document(path), self.limits) | self.limits
        for path in sorted(folder.rglob("*.y*ml*")):
            if not any(part.startswith(".") for part in path.relative_to(folder).parts):
                self._file(folder, path, trial)

    def _limits(self, path: Path, *, own: bool) -> None:
        document = Document(path, may_be_empty=True)
        new, laid = read_limits(document, self.limits)
        if document.problems:
            new = limits_named(document, self.limits)
        self.limits |= new
        self.own_limits |= set(new) if own else set()
        self.overrides += laid
        self._took(document)

    def _file(self, folder: Path, path: Path, trial: bool) -> None:
        relative = path.relative_to(folder)
        if str(relative) in OWN_FILES or relative.parts[0] in NO_THEMES or not path.is_file():
            return
        wrong = misplaced_files.file_meant(folder, relative, OWN_FILES)
        if wrong:
            self._wrong(shown(path), *wrong)
        elif path.suffix == ".yml":
            self.rule(relative.with_suffix("").as_posix(), path, trial=trial)

    def rule(self, rule_id: str, path: Path, *, trial: bool) -> None:
        """Take one rule; on trial, if so it must, or if it says so itself."""
        document = Document(path)
        self.met.append(rule_id)
        if rule_id in self.rules:
            document.problem(f"the pack has a rule {rule_id!r} already", "give the site's own rule another name", 0)
        rule = read_rule(document, rule_id, self.limits, self.connection)
        self._took(document)
        if rule and not document.problems:
            self.rules[rule_id] = _of_the_site(rule) if trial else rule

    def _took(self, document: Document) -> None:
        self.files_read.append(document.path)
        self.problems += document.problems
        if document.problems:
            self.files.add(document.place)

    def _wrong(self, place: str, cause: str, remedy: str) -> None:
        self.problems.append(Problem(cause, remedy, place))
        self.files.add(place)

    def stop_if_wrong(self) -> None:
        """Raise what was found wrong, all of it."""
        self.connection.close()
        if self.problems:
            count, files = len(self.problems), len(self.files)
            raise RuleError(
                self.problems,
                summary=f"{count} problem{'s' if count > 1 else ''} in {files}"
                f" file{'s' if files > 1 else ''}; no rule was run.",
            )


def _of_the_site(rule: Rule) -> Rule:
    """A site's own rule: on trial, and marked wherever one of its titles is read."""
    title, failed = (f"{told} (the site's own rule)" for told in (rule.title, rule.title_failed))
    return replace(rule, trial=True, title=title, title_failed=failed)
