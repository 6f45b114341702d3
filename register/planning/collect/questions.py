"""What to collect next: each blank that verdicts wait for, what an answer is worth, and where it is read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any

from register.audit.session import Session
from register.audit.stands import stand
from register.columns import column
from register.facts.whatif import entered
from register.planning.collect.order import Chosen, ordered
from register.planning.collect.waiting import Blank, Waiting, waiting
from register.planning.collect.worth import worth
from register.planning.group_filter import select

PLACE = ("area", "bus", "cubicle", "description")


@dataclass(frozen=True, slots=True)
class Question:
    """One reading to take: the cell, where one stands for it, what that needs, and what an answer is worth.

    `key` tells the row of `table` apart: a tag, or the bus or model that several positions share; `tags` are the
    positions whose verdicts wait for it, `area`, `bus`, `cubicle` and `description` those of the first. `on_file` is
    what the register has, mostly nothing. `worth` is the weight (grade × criticality, as of findings) of what a reading
    decides on average over the values tried, `verdicts` their number, both as things stand once all questions before
    it are answered; `decides` are the (tag, rule) that it may decide. `together` are columns to read with it, because
    it takes both. `people` where someone could be hurt by what is decided.
    """

    table: str
    key: str
    column: str
    tags: tuple[str, ...]
    area: str | None
    bus: str | None
    cubicle: str | None
    description: str | None
    sentence: str
    unit: str
    choices: tuple[str, ...]
    on_file: Any
    where: str
    read_at: str
    needs: str
    worth: float
    verdicts: float
    decides: tuple[tuple[str, str], ...]
    together: tuple[str, ...]
    people: bool

    @property
    def tag(self) -> str:
        """The first of the positions that wait for it."""
        return self.tags[0]


@dataclass(frozen=True, slots=True)
class ToCollect:
    """The questions in order, and what they are about: `unknown` verdicts, `blanks` in all, variants `tried`."""

    questions: tuple[Question, ...]
    unknown: int
    blanks: int
    tried: int

    @property
    def decided(self) -> float:
        """How many verdicts these questions decide, on average over the values tried."""
        return sum(question.verdicts for question in self.questions)


def to_collect(
    session: Session,
    *,
    where: str | None = None,
    top: int | None = None,
    people_first: bool = True,
    counted: bool = False,
) -> ToCollect:
    """Every blank that unknown verdicts wait for, in the order in which it is worth reading.

    Parameters
    ----------
    session : the open register; its area, if one is asked for, limits the positions.
    where : only at the positions for which this expression is true.
    top : no more questions than this.
    people_first : what decides whether people can be hurt comes before all else.
    counted : each verdict counts the same, whatever its grade and harm.

    Errors: StartrollError with what is wrong in `where`.
    """
    audit = session.audit()
    only = None if where is None else set(select(session.db, where, today=session.today).tags)
    verdicts = waiting(session.db, audit, only)
    if only is not None:
        # A blank that is shared is asked wherever it is read; others only where they were asked about.
        verdicts = [one for one in verdicts if one.tag is None or one.tag in only]
    tried = worth(session, verdicts)
    asked = _Asked(verdicts)
    chosen = list(islice(asked.blanks(ordered(tried, people_first=people_first, counted=counted)), top))
    rows = entered(session.db, {min(asked.tags[blank]) for blank, _ in chosen})
    found = tuple(asked.question(blank, one, rows) for blank, one in chosen)
    return ToCollect(found, len(verdicts), len(asked.waiting), tried.tried)


class _Asked:
    """Questions made of chosen blanks, with their places and what is on file."""

    def __init__(self, verdicts: Sequence[Waiting]) -> None:
        self.verdicts = verdicts
        self.waiting: dict[Blank, list[int]] = defaultdict(list)
        self.tags: dict[Blank, dict[str, None]] = defaultdict(dict)
        for number, verdict in enumerate(self.verdicts):
            for blank in verdict.blanks:
                self.waiting[blank].append(number)
                self.tags[blank][verdict.tag or blank.key] = None

    def blanks(self, chosen: Iterable[Chosen]) -> Iterator[tuple[Blank, Chosen]]:
        """Those chosen, then what no single answer decides, the most weight waiting first."""
        asked: set[Blank] = set()
        for one in chosen:
            asked.update(one.blanks)
            yield from ((blank, one) for blank in one.blanks)
        rest = (blank for blank in self.waiting if blank not in asked)
        nothing = Chosen((), 0.0, 0.0, {})
        for blank in sorted(rest, key=lambda b: (-sum(self.verdicts[n].weight for n in self.waiting[b]), b)):
            yield blank, nothing

    def question(self, blank: Blank, chosen: Chosen, rows: Mapping[str, Mapping[str, Any]]) -> Question:
        """One blank as a question, with its place and what is on file."""
        tags = tuple(sorted(self.tags[blank]))
        known, meaning, at = rows.get(tags[0], {}), column(blank.column), stand(blank.column)
        own = [n for n in self.waiting[blank] if n in chosen.decides]
        return Question(
            *blank,
            tags=tags,
            **{name: known.get(name) for name in PLACE},  # type: ignore[arg-type]
            sentence=meaning.sentence,
            unit=meaning.unit,
            choices=meaning.choices,
            on_file=known.get(blank.column),
            where=at.where,
            read_at=at.at,
            needs=at.needs,
            worth=chosen.gain,
            verdicts=sum(chosen.decides.values()) / max(1, len(chosen.blanks)),
            decides=tuple((self.verdicts[n].tag or blank.key, self.verdicts[n].rule) for n in own),
            together=tuple(other.column for other in chosen.blanks if other != blank),
            people=any(self.verdicts[n].people for n in own),
        )
