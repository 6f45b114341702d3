"""The main job on the demo plant: its list as it was found → register → audit → report."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from itertools import count
from pathlib import Path
from typing import Any

from register.audit.report import Report
from register.audit.results import report_of
from register.audit.session import AuditRequest, session
from register.errors import Problem, StartrollError
from register.intake.take_in import take_in
from register.planning.answers import sample_site
from register.resources import samples_folder
from register.store.database import create

PLANT = "demo-plant"


@dataclass(frozen=True, slots=True)
class Demonstration:
    """What the demo made and concluded."""

    register: Path
    refused: Path
    plan: Any
    applied: Any
    report: Report
    kept: tuple[tuple[Path, Path], ...] = ()  # what was there before, and where it is now


def run(folder: Path, *, today: date) -> Demonstration:
    """Make the demo plant's register in `folder`; what an older demo left there is kept under another name.

    Raises StartrollError when `folder` cannot be written, or holds something else.
    """
    sample = samples_folder() / PLANT
    register, refused = folder / "demo.db", folder / "to-correct.xlsx"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        kept = tuple((path, _set_aside(path)) for path in (register, refused) if path.exists())
    except OSError as error:
        raise StartrollError(
            Problem(
                f"the demo cannot be written: {error.strerror}",
                "name a folder that can: startroll demo FOLDER",
                str(folder),
            )
        ) from None
    create(register, sample_site(sample / "site.csv"))
    plan, applied = take_in(
        register,
        [sample / "as-found.xlsx"],
        mapping=sample / "as-found.yml",
        refused=refused,
        reason="the plant's list, as it was found",
        author="demo",
    )
    with session(register, AuditRequest(today=today)) as asked:
        return Demonstration(register, refused, plan, applied, report_of(asked), kept)


def _set_aside(path: Path) -> Path:
    """Rename a file, with what SQLite keeps beside it, to the first free name with a number."""
    numbered = (path.with_stem(f"{path.stem}-{n}") for n in count(1))
    free = next(name for name in numbered if not name.exists())
    for beside in ("-wal", "-shm"):
        own = path.with_name(path.name + beside)
        if own.exists():
            own.rename(free.with_name(free.name + beside))
    return path.rename(free)


def next_steps(run: Demonstration) -> list[str]:
    """Commands that are worth typing next, with this demo's own names and its day."""
    at = f"--register {run.register}"
    as_on = f"{at} --today {run.report.scope.today}"
    page = run.register.with_name("report.html")
    steps = [f"startroll positions {at}", f"startroll to-collect {as_on}", f"startroll report {as_on} --html {page}"]
    if run.report.findings:
        first = run.report.findings[0]
        steps.insert(0, f"startroll explain {first.tag} {first.rule} {as_on}")
        steps += [
            f"startroll history {finding.tag} {at}" for finding in run.report.findings if finding.subject == "position"
        ][:1]
    return steps
