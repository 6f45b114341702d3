"""A round taken back: each answer against what was there when the round was made, and what is there now."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from sqlite_utils import Database

from register.columns import TABLES, Column
from register.errors import Problem, StartrollError
from register.intake.correct import believed, set_value
from register.intake.slips import known_at, slip
from register.rounds.answer_rows import as_found, keep_answer, name_of
from register.rounds.found_row import Found, find
from register.rounds.merge_model import Conflict, Said
from register.rounds.saved_file import VALUE, WORK, Answer, SavedRound
from register.rounds.take_work import Source, Worked, said, take_work
from register.rounds.three_way import Outcome, alike, three_way
from register.store.database import writing
from register.store.origins import BY_ROUND
from register.store.taken_back import CONFIRMED, KEPT_HERE, last_change, mark, note, undone
from register.text import shown

# Why a value is missing, as the register says it. A plate that is gone cannot be read either.
REASONS = {
    "illegible": "illegible",
    "not there": "illegible",
    "not applicable": "not applicable",
    "not known": "not surveyed",
}
LOOK = "look again: correct the answer in the list, or write theirs in the column take if it is right all the same"
UNDONE = "undone"
Decide = Callable[[tuple[str, str, str]], str | None]


@dataclass(frozen=True, slots=True)
class Refused:
    """An answer that is not taken: which cell, what was answered, why not, what to do."""

    table: str
    row: str
    column: str
    answer: str
    cause: str
    remedy: str


@dataclass(frozen=True, slots=True)
class RoundTaken:
    """What became of each answer of a round; `change_set` is None where nothing was written.

    `taken`, `same` and `kept` are counts, `before` those taken back earlier. `kept` differ from what is here, which was
    changed since the round was made (or was decided for). `told` is what moved or was renamed meanwhile. Of work,
    `recorded` tasks have a record now and `closed` actions are closed; `undone` says what was half done or not done.
    """

    change_set: int | None
    who: str
    answers: int
    taken: int = 0
    same: int = 0
    kept: int = 0
    before: int = 0
    refused: tuple[Refused, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    told: tuple[str, ...] = ()
    recorded: int = 0
    closed: int = 0
    undone: tuple[str, ...] = ()


class _Nothing(Exception):
    """Nothing is written, and the change-set that was begun is not kept."""

    def __init__(self, made: RoundTaken) -> None:
        self.made = made


def take_round(
    db: Database,
    saved: SavedRound,
    *,
    file: str,
    file_sha256: str = "",
    decide: Decide = lambda cell: None,
    author: str = "",
    dry: bool = False,
) -> RoundTaken:
    """Take the answers of a round back, in one change-set; conflicts and what is not to be believed are left and told.

    Parameters
    ----------
    file, file_sha256 : name of the saved file, for the history; the SHA-256 of its bytes, the evidence of what is done.
    decide : for a cell (table, tag, column) "theirs", "ours", or a corrected answer as a person writes it; None where
        nobody has said.
    author : who takes it back.
    dry : tell what would be done, change nothing.

    Errors: StartrollError where the register is busy; what is wrong with one answer is in the result.
    """
    days = sorted(answer.answered_at for answer in saved.answers)
    when = f", answered {days[0][:16]} to {days[-1][:16]}" if days else ""
    reason = f"round {saved.title!r}{when}" + (f", taken back by {author}" if author and author != saved.who else "")
    who = saved.who or author
    try:
        with writing(
            db, reason=reason, author=who, source_file=f"{BY_ROUND}{file}", source_hash=saved.sha256, dry=dry
        ) as number:
            source = Source(who, saved.page, file, file_sha256 or saved.sha256)
            made = _Taking(db, saved, decide, number, source).run()
            if not made.taken + made.same + made.kept + made.recorded + made.closed + len(made.undone):
                raise _Nothing(replace(made, change_set=None))
            return replace(made, change_set=None if dry else number)
    except _Nothing as nothing:
        return nothing.made


@dataclass(slots=True)
class _Case:
    """An answer, the row that it is about, and what is to become of it."""

    answer: Answer
    name: str
    found: Found
    outcome: Outcome
    text: str | None
    sure: bool = False

    @property
    def cell(self) -> tuple[str, str, str]:
        return self.answer.table, self.answer.at, self.answer.column


class _Taking:
    """One round being taken back; belongs inside `database.writing`."""

    def __init__(self, db: Database, saved: SavedRound, decide: Decide, number: int, source: Source) -> None:
        self.db, self.saved, self.decide, self.number, self.source = db, saved, decide, number, source
        gone = undone(db)
        marked = db.execute("SELECT origin, change_set FROM change WHERE origin LIKE 'round %'").fetchall()
        self.known = {origin for origin, change_set in marked if change_set not in gone}
        self.refused: list[Refused] = []
        self.conflicts: list[Conflict] = []
        self.told: dict[str, None] = {}
        self.before = 0

    def run(self) -> RoundTaken:
        """Everything that can be taken, taken."""
        cells = (answer for answer in self.saved.answers if answer.table not in WORK)
        cases = [case for case in map(self._case, cells) if case is not None]
        for case in self._doubted(cases):
            cases.remove(case)
        for case in cases:
            self._keep(case)
        worked = [made for answer in self.saved.answers if answer.table in WORK and (made := self._work(answer))]
        states = [*(case.outcome for case in cases), *(made.state for made in worked)]
        counts = {o: states.count(o) for o in ("taken", "same", "kept", "recorded", "closed")}
        return RoundTaken(
            self.number, self.saved.who, len(self.saved.answers), **counts, before=self.before,
            refused=tuple(self.refused), conflicts=tuple(self.conflicts), told=tuple(self.told),
            undone=tuple(made.told for made in worked if made.state == UNDONE),
        )  # fmt: skip

    def _work(self, answer: Answer) -> Worked | None:
        """What became of a job; None where nothing did, and it is noted why."""
        name = self._name(answer)
        if name is None:
            return None
        before = last_change(self.db)
        try:
            made = take_work(self.db, answer, self.source, self.decide((answer.table, answer.at, answer.column)))
        except StartrollError as error:
            self._refuse(answer, error)
            return None
        if made.conflict is not None:
            self.conflicts.append(made.conflict)
            return None
        mark(self.db, before, name)
        keep_answer(self.db, self.number, answer, name, made.key)
        if made.state != UNDONE and made.told:
            self.told[made.told] = None
        return made

    def _name(self, answer: Answer) -> str | None:
        """The name under which an answer is marked; None where it was taken back earlier, which is counted."""
        name = name_of(self.saved.page, answer)
        if name not in self.known:
            return name
        self.before += 1
        return None

    def _case(self, answer: Answer) -> _Case | None:
        """What is to become of an answer; None where nothing does, and it is noted why."""
        name = self._name(answer)
        if name is None:
            return None
        try:
            _refuse_unknown_key(answer)
            found = find(self.db, answer)
        except StartrollError as error:
            self._refuse(answer, error)
            return None
        self.told |= dict.fromkeys(found.told)
        if answer.found_typed and answer.state != VALUE:
            self.told[f"{answer.at} {answer.column}: {as_found(answer)}, and nobody says how it was left"] = None
        case = _Case(answer, name, found, "conflict", _text(found.column, answer))
        case.outcome = self._compared(case)
        decided = self.decide(case.cell)
        if decided not in (None, "ours", "theirs"):
            case.text, case.outcome = decided, "taken"
        elif decided == "theirs":
            case.sure = True
            case.outcome = "taken" if case.outcome == "conflict" else case.outcome
        elif decided == "ours" and case.outcome in ("conflict", "taken"):
            case.outcome = "kept"
        if case.outcome == "conflict":
            self.conflicts.append(self._conflict(case))
            return None
        return case

    def _compared(self, case: _Case) -> Outcome:
        answer, now = case.answer, case.found.value
        base = answer.base
        if case.found.last is not None and case.found.last.origin.startswith(f"round {self.saved.page} "):
            base = now  # the same page said so earlier, and now says otherwise
        seen = answer.found is not None
        if seen and alike(answer.found, now):
            base = now  # it was seen as it is here, whatever was on file when the page was made
        if answer.state == VALUE:
            outcome = three_way(base, now, answer.value)
            return "taken" if outcome == "same" and seen and not alike(answer.found, now) else outcome
        if now is None:
            return "same" if case.found.reason == REASONS[answer.state] else "taken"
        # A value on file is not given up because it cannot be read today.
        return "kept" if answer.state == "not known" else "conflict"

    def _conflict(self, case: _Case) -> Conflict:
        answer, found = case.answer, case.found
        last, unit = found.last, found.column.unit
        here = Said(shown(found.value, unit), *((last.author, last.at, last.reason) if last else ()))
        there = Said(_worded(found.column, answer), self.saved.who, answer.answered_at, answer.note)
        return Conflict(*case.cell, found.at, shown(answer.base, unit), here, there)

    # What is not to be believed.

    def _doubted(self, cases: list[_Case]) -> list[_Case]:
        """The cases whose value the register refuses, or that the plate's own arithmetic contradicts; each is noted.

        All are tried together, so that a plate read as a whole is judged as a whole.
        """
        refused: list[_Case] = []
        while True:
            self.db.conn.execute("SAVEPOINT tried")
            fresh = {}
            for case in [c for c in cases if c.outcome == "taken" and c not in refused]:
                try:
                    self._enter(case)
                except StartrollError as error:
                    fresh[id(case)] = case, error
            for case in [c for c in cases if c.outcome == "taken" and c not in refused and id(c) not in fresh]:
                if why := self._slip(case):
                    fresh[id(case)] = case, StartrollError(Problem(f"it looks like a slip: {why}", LOOK))
            self.db.conn.execute("ROLLBACK TO tried")
            self.db.conn.execute("RELEASE tried")
            for case, why_not in fresh.values():
                self._refuse(case.answer, why_not)
                refused.append(case)
            if not fresh:
                return refused

    def _slip(self, case: _Case) -> str:
        if case.sure or case.answer.state != VALUE or case.answer.table == "bus" or case.text is None:
            return ""
        known = known_at(self.db, case.found.at)
        value = known.get(case.answer.column)
        known[case.answer.column] = case.found.value
        return slip(known, case.found.column, value)

    def _enter(self, case: _Case) -> None:
        answer, found = case.answer, case.found
        reason = None if case.text is not None else REASONS[answer.state]
        if answer.as_typed and case.text == _text(found.column, answer):
            _refuse_misread(found.column, answer)
        if answer.found is not None and case.text is not None and not alike(answer.found, found.value):
            set_value(self.db, found.at, answer.column, _written(found.column, answer.found))
        set_value(self.db, found.at, answer.column, case.text, blank_reason=reason)

    def _refuse(self, answer: Answer, error: StartrollError) -> None:
        told = said(answer) if answer.table in WORK else _worded(_column(answer), answer)
        for problem in error.problems:
            remedy = problem.remedy.replace("look again; if it is right, add --sure", LOOK)
            self.refused.append(Refused(answer.table, answer.at, answer.column, told, problem.cause, remedy))

    # What is kept of an answer.

    def _keep(self, case: _Case) -> None:
        answer, before = case.answer, last_change(self.db)
        if case.outcome == "taken":
            self._enter(case)
        key = find(self.db, answer).key
        if not mark(self.db, before, case.name):
            action = KEPT_HERE if case.outcome == "kept" else CONFIRMED
            here, there = {answer.column: case.found.value}, {answer.column: answer.value or REASONS.get(answer.state)}
            note(self.db, action, answer.table, key, here, there, case.found.tag)
            mark(self.db, before, case.name)
        keep_answer(self.db, self.number, answer, case.name, key)


def _column(answer: Answer) -> Column:
    return TABLES[answer.table].column(answer.column)


def _text(column: Column, answer: Answer) -> str | None:
    """The value as a person writes it; None where there is none."""
    if answer.state != VALUE:
        return None
    return _written(column, answer.value)


def _written(column: Column, value: float | str | None) -> str:
    return f"{value!r} {column.unit}".strip() if column.is_number else str(value)


def _worded(column: Column, answer: Answer) -> str:
    return shown(answer.value, column.unit) if answer.state == VALUE else answer.state


def _refuse_misread(column: Column, answer: Answer) -> None:
    """Refuse an answer whose value is not what was typed; what cannot be read again is left to the page."""
    try:
        typed = believed(column.name, f"{answer.as_typed} {answer.unit}".strip())
    except StartrollError:
        return
    if column.is_number and typed is not None and not alike(float(f"{typed:.5g}"), float(f"{answer.value:.5g}")):
        cause = f"typed was {answer.as_typed} {answer.unit}, and the value is {shown(answer.value, column.unit)}"
        raise StartrollError(Problem(cause, LOOK))


def _refuse_unknown_key(answer: Answer) -> None:
    """Refuse an answer without a value to what tells rows apart, also where another answer has just given it one."""
    column = _column(answer)
    if answer.state != VALUE and column.name in TABLES[answer.table].key:
        raise StartrollError(Problem(f"{column.name} cannot be unknown: {column.sentence}", "give it another value"))
