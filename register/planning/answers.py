"""Whether the questions that rules ask can be answered: fields read, verdict decided, or another field asked."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from register import columns
from register.facts.base import BASE
from register.facts.missing import typical
from register.facts.whatif import Variant
from register.intake.take_in import take_in
from register.planning.trials import Trials
from register.resources import samples_folder
from register.rulebook.model import Outcome, Pack
from register.rulebook.proofs.proofs import Proof
from register.store.database import create, opened

# Which of the typical positions give the answers, so that the words of closed lists take turns.
TURNS = (0, 3, 7)
PLANT, DAY = "small-plant", date(2026, 11, 25)
ASKED_FIRST = 8  # rounds of questions, after which one counts as without end
# A rule as it must not be: it asks how a bypass starts the motor where there is none.
PLANTED = "failover_outcome = 'starts'"


@dataclass
class Question:
    """An unknown verdict, the fields named so far, and the answers given to them."""

    tag: str
    rule: str
    turn: int
    named: list[str] = field(default_factory=list)
    answers: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Unanswerable:
    """A question that no reading settles."""

    tag: str
    rule: str
    fields: tuple[str, ...]
    why: str

    def __str__(self) -> str:
        return f"{self.rule} at {self.tag} asks for {', '.join(self.fields) or 'nothing'}: {self.why}"


def unanswerable(trials: Trials, *, turns: Iterable[int] = TURNS) -> tuple[int, list[Unanswerable]]:
    """How many verdicts at these positions are unknown, and those that no reading would decide.

    Every field named is given a typical value, and the verdict asked again. It must be decided, or
    name a field that is blank and was not named before; and so on until it is decided. Where a rule
    has found that the plate contradicts itself, what is filled may be named, to be checked.
    """
    doubting = {rule.id for rule in trials.pack.rules if rule.doubts}
    doubted = {
        v.tag
        for row, v in enumerate(trials.now.variants)
        if doubting.intersection(trials.now.having(row, Outcome.FAILED))
    }
    undecided = {v.tag: trials.now.having(row, Outcome.CANT_TELL) for row, v in enumerate(trials.now.variants)}
    with trials.opened(trials.now.variants) as opened_now:
        asked = {(tag, rule): f for tag, rules in opened_now.to_read(undecided).items() for rule, f in rules.items()}
    open_ = [Question(tag, rule, turn) for tag, rule in asked for turn in turns]
    fields = {(q.tag, q.rule, q.turn): asked[q.tag, q.rule] for q in open_}
    found: dict[tuple[str, str], Unanswerable] = {}
    for _ in range(ASKED_FIRST):
        for question in open_:
            new = fields[question.tag, question.rule, question.turn]
            why = _wrong(trials, question, new)
            if why and question.tag not in doubted:
                told = Unanswerable(question.tag, question.rule, tuple(dict.fromkeys((*question.named, *new))), why)
                found.setdefault((question.tag, question.rule), told)
            question.named += new
            question.answers |= {name: typical(BASE[name])[question.turn] for name in new if name in BASE}
        open_ = [q for q in _undecided(trials, open_) if (q.tag, q.rule) not in found]
        fields = _named(trials, open_)
    return len(asked), list(found.values())


def _wrong(trials: Trials, question: Question, new: tuple[str, ...]) -> str:
    """What is wrong with the fields that a question names; empty where nothing is."""
    filled = [n for n in new if n in BASE and trials.base[question.tag][n] is not None and n not in question.answers]
    if filled:
        return f"{', '.join(filled)} is filled"
    if not set(new) - set(question.named):
        return "read, and it still can't tell"
    return ""


def _undecided(trials: Trials, questions: list[Question]) -> list[Question]:
    judged = trials.judge(Variant(q.tag, q.answers) for q in questions)
    return [q for row, q in enumerate(questions) if judged.outcomes(row)[q.rule] is Outcome.CANT_TELL]


def _named(trials: Trials, questions: list[Question]) -> dict[tuple[str, str, int], tuple[str, ...]]:
    """The fields that each question names now; of one position one at a time is opened."""
    named = {}
    for round_ in _rounds(questions):
        with trials.opened(Variant(q.tag, q.answers) for q in round_) as now:
            found = now.to_read({q.tag: [q.rule] for q in round_})
        named |= {(q.tag, q.rule, q.turn): found[q.tag][q.rule] for q in round_}
    return named


def _rounds(questions: list[Question]) -> Iterator[list[Question]]:
    while questions:
        first = {q.tag: q for q in reversed(questions)}
        yield list(first.values())
        questions = [q for q in questions if first[q.tag] is not q]


def proof(pack: Pack, trials: int, seed: int) -> Proof:
    """Every question that the pack asks at the sample plant leads to an answer, a planted one does not."""
    own = tuple(rule for rule in pack.rules if rule.subject == "position")
    planted = replace(
        own[0], id="planted", practice="any", applies="", requires=PLANTED, margin="", outside=(),
        outside_columns=(), limits=(), columns=("failover_outcome",), margin_columns=(), finding_columns=(),
        unknown_is_deliberate="", trial=False, doubts="",
    )  # fmt: skip
    with TemporaryDirectory(prefix="startroll-") as folder:
        path = _sample(Path(folder))
        with opened(path) as db:
            tags = [tag for (tag,) in db.conn.execute("SELECT tag FROM position")]
            count, found = unanswerable(Trials(db, tags, pack=pack, today=DAY))
            _, caught = unanswerable(Trials(db, tags, pack=replace(pack, rules=(planted,)), today=DAY))
    faults = [(one.rule, str(one)) for one in found]
    if not caught:
        faults.append(("planted", f"a planted rule, {PLANTED}, goes uncaught"))
    notes = tuple(f"a planted rule, {PLANTED}, is caught: {one}" for one in caught[:1])
    asks = "Does every question that a rule asks lead to an answer?"
    return Proof(
        "answers", asks, f"{count} questions at {len(tags)} positions of the sample plant", tuple(faults), notes
    )


def _sample(folder: Path) -> Path:
    """A register of the small sample plant."""
    path, sheets = folder / "plant.db", sorted((samples_folder() / PLANT).glob("*.csv"))
    site = next(sheet for sheet in sheets if sheet.stem == "site")
    create(path, sample_site(site))
    take_in(path, [s for s in sheets if s.stem in columns.TABLES], reason="proof", author="startroll")
    return path


def sample_site(path: Path) -> dict[str, Any]:
    """The one row of the sample's site, less its blanks."""
    with path.open(encoding="utf-8", newline="") as file:
        row = next(csv.DictReader(file))
    return {name: _number(name, text) for name, text in row.items() if text}


def _number(name: str, text: str) -> float | str:
    return float(text) if columns.column(name).is_number else text
