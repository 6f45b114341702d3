"""How much of a strange list came to the register, and whether it is true."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from strange_lists import Strange

from register.intake.mapping import Mapping, load
from register.intake.plan import Plan
from register.intake.sheet import read_all
from register.intake.take_in import apply, plan_intake
from register.store.database import create, opened
from register.store.queries import rows_at


@dataclass
class Score:
    """Cells by how they end; what is wrong is told with what is true."""

    cells: int
    taken: int
    asked: int
    refused: int
    aside: int
    no_value: int
    questions: int
    wrong: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    plan: Plan | None = None

    @property
    def share(self) -> float:
        """Of the cells that hold a value, those taken."""
        return self.taken / max(self.cells - self.no_value - self.aside, 1)


def planned(strange: Strange, paths: list[Path], folder: Path, mapping: Mapping | None, name: str) -> tuple[Path, Plan]:
    """A register of that plant with its lists in it, and the plan."""
    path = folder / name
    create(path, {"site": strange.name, "practice": strange.practice, "site_frequency_hz": strange.frequency})
    with opened(path, write=True) as db:
        plan = plan_intake(db, read_all(paths), mapping)
        apply(db, plan, reason="test")
    return path, plan


def score(strange: Strange, paths: list[Path], folder: Path, mapping: Mapping | None) -> Score:
    """Take the lists in, and compare every value with what is true."""
    path, plan = planned(strange, paths, folder, mapping, "scored.db")
    ends: Counter[str] = sum(plan.cells.values(), Counter())
    got = Score(
        ends.total(),
        ends["taken"] + ends["unchanged"],
        ends["asked"],
        ends["refused"],
        ends["set aside"],
        ends["not a value"],
        len(plan.doubts),
        plan=plan,
    )
    with opened(path) as db:
        tags = {r[0] for r in db.execute("SELECT tag FROM position")}
        got.wrong += [f"position {tag!r} is none" for tag in sorted(tags - set(strange.truth))]
        for tag, true in strange.truth.items():
            values = _values(rows_at(db, tag)) if tag in tags else {}
            for column, value in true.items():
                if values.get(column) is None:
                    got.missing.append(f"{tag} {column}")
                elif not alike(values[column], value):
                    got.wrong.append(f"{tag} {column}: {values[column]!r}, true is {value!r}")
        events = db.execute("SELECT count(*) FROM event").fetchone()[0]
        if events > strange.events:
            got.wrong.append(f"{events} events, true are {strange.events}")
    return got


def _values(rows: dict[str, dict[str, Any]]) -> dict[str, Any]:
    return {
        name: value
        for table in rows.values()
        for name, value in table.items()
        if not (name == "motor" and str(value).startswith("unmarked"))
    }


def alike(one: Any, true: Any) -> bool:
    """True where two values are one, to four figures."""
    if isinstance(true, (int, float)) and isinstance(one, (int, float)):
        return abs(one - true) <= 2e-3 * abs(true)
    return one == true


def answered(strange: Strange, paths: list[Path], folder: Path) -> Mapping:
    """The plant's own answers, and to every other question the one suggested first."""
    given = folder / "given.yml"
    given.write_text(strange.answers or "sheets: {}\n", encoding="utf-8")
    mapping = load(given)
    for turn in range(3):
        path = folder / f"answers{turn}.yml"
        _, plan = planned(strange, paths, folder, mapping, f"turn{turn}.db")
        if not plan.doubts:
            break
        path.write_text(plan.mapping_draft.replace("#? ", ""), encoding="utf-8")
        mapping = load(path)
    return mapping
