"""Everything that can go wrong, and the exit code each kind ends with.

StartrollError                     2   wrong use: the caller can correct the command
├── SheetError                     2   a file that cannot be read as a plant's list
├── IntakeError                    2   a readable sheet whose contents cannot be taken in
├── RuleError                      2   a rule, limit, table or assumption that is not sound
├── PackError                      5   a review pack that is not as it was made
└── RegisterError                  5   the register was refused
    ├── RegisterMissing            5   no file there
    ├── RegisterDamaged            5   not a register, or a broken one
    ├── RegisterNewer              5   made by a later version of the program
    └── RegisterBusy               5   another writer holds it, or it cannot be written

Every error carries its problems, all of them at once: place, cause, remedy.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

DONE = 0
FINDINGS = 1  # or something that waits for a decision
WRONG_USE = 2
TOO_MUCH_UNKNOWN = 3
CONCESSION_LAPSED = 4
REGISTER_REFUSED = 5
INTERRUPTED = 130


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong, where it stands, and what to do about it.

    `excerpt` is the offending text (a line of a file, a cell), `column` and `width` place a caret
    under it, counted from 0.
    """

    cause: str
    remedy: str = ""
    place: str = ""
    excerpt: str = ""
    column: int | None = None
    width: int = 1
    line: int | None = None

    def __str__(self) -> str:
        lines = [f"{self.place}  {self.cause}" if self.place else self.cause]
        if self.excerpt:
            gutter = str(self.line) if self.line is not None else ""
            lines.append(f"  {gutter} | {self.excerpt}")
            if self.column is not None:
                caret = " " * self.column + "^" * max(1, self.width)
                lines.append(f"  {' ' * len(gutter)} | {caret}")
        if self.remedy:
            lines.append(f"  {self.remedy}")
        return "\n".join(lines)


class StartrollError(Exception):
    """Root of all errors that a user can meet; never shown with a traceback."""

    exit_code = WRONG_USE

    def __init__(self, problems: Problem | Iterable[Problem] | str, *, summary: str = "") -> None:
        if isinstance(problems, str):
            problems = Problem(problems)
        if isinstance(problems, Problem):
            problems = (problems,)
        self.problems: tuple[Problem, ...] = tuple(problems)
        self.summary = summary
        super().__init__(str(self))

    def __reduce__(self) -> tuple[object, ...]:
        """What a child process hands over holds its problems too."""
        return partial(type(self), summary=self.summary), (self.problems,)

    def __str__(self) -> str:
        parts = [str(problem) for problem in self.problems]
        if self.summary:
            parts.append(self.summary)
        return "\n".join(parts)


class SheetError(StartrollError):
    """A file that cannot be read as a plant's list."""


class IntakeError(StartrollError):
    """A readable sheet whose contents cannot be taken in."""


class RuleError(StartrollError):
    """A rule, a limit, a table or an assumption that is not sound."""


class PackError(StartrollError):
    """A review pack that is not as it was made."""

    exit_code = REGISTER_REFUSED


class RegisterError(StartrollError):
    """The register was refused."""

    exit_code = REGISTER_REFUSED


class RegisterMissing(RegisterError):
    """There is no register at that place."""


class RegisterDamaged(RegisterError):
    """The file is not a register, or is a broken one."""


class RegisterNewer(RegisterError):
    """The register was made by a later version of this program."""


class RegisterBusy(RegisterError):
    """Another writer holds the register, or this place cannot be written."""
