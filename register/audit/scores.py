"""How each part of a plant stands: what failed there, what passed, and what is unknown."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from register.rulebook.model import Grade, Outcome, Verdicts


@dataclass(frozen=True, slots=True)
class Tally:
    """The verdicts of some part of the plant, those that do not apply left out."""

    positions: int
    failed: dict[str, int]
    cant_tell: int
    passed: int

    @property
    def judged(self) -> int:
        """Verdicts that could be told."""
        return self.passed + sum(self.failed.values())

    @property
    def passed_pct(self) -> float | None:
        """Those passed, of those that could be told; None where none could."""
        return 100 * self.passed / self.judged if self.judged else None

    @property
    def judged_pct(self) -> float | None:
        """Those that could be told, of those that apply or may apply; None where none does."""
        asked = self.judged + self.cant_tell
        return 100 * self.judged / asked if asked else None


def tallies(tables: Iterable[Verdicts], part_of: Callable[[str, str], str]) -> list[tuple[str, Tally]]:
    """The parts of the plant in order of name; `part_of` says to which a (subject, tag) belongs."""
    counts: dict[str, np.ndarray] = {}
    positions: dict[str, int] = {}
    grades = list(Grade)
    for table in tables:
        of_grade = [[col for col, rule in enumerate(table.rules) if rule.grade == grade] for grade in grades]
        rows: dict[str, list[int]] = {}
        for row, tag in enumerate(table.tags):
            rows.setdefault(part_of(table.subject, tag), []).append(row)
        for part, own in rows.items():
            found = counts.setdefault(part, np.zeros((len(grades), len(Outcome)), int))
            positions[part] = positions.get(part, 0) + len(own) * (table.subject == "position")
            outcomes = table.outcomes[own]
            for grade, cols in enumerate(of_grade):
                found[grade] += np.bincount(outcomes[:, cols].ravel(), minlength=len(Outcome))
    return [(part, _tally(positions[part], counts[part], grades)) for part in sorted(counts)]


def _tally(positions: int, counts: np.ndarray, grades: list[Grade]) -> Tally:
    failed = {str(g): int(n) for g, n in zip(grades, counts[:, Outcome.FAILED], strict=True)}
    sums = counts.sum(axis=0)
    return Tally(positions, failed, int(sums[Outcome.CANT_TELL]), int(sums[Outcome.PASSED]))
