"""What a roll-up concludes of many plants; every report of a fleet shows one of these and nothing else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import count

HARMS = ("people", "fire", "machine", "production", "records")
LITTLE_KNOWN_PCT = 50.0
Cell = tuple[int, int, int]


def little(known_pct: float | None) -> bool:
    """Whether too little of what applies is known to say how many majors there would be."""
    return known_pct is None or known_pct < LITTLE_KNOWN_PCT


@dataclass(frozen=True, slots=True)
class Plant:
    """One register: where it lies, and what else is to be said of it.

    `name` is the site's, with the file's where two sites have one name; in a confidential report a number stands for
    it, and `place` and `notes` are empty.
    """

    key: str
    name: str
    place: str
    day: str
    practice: str
    positions: int
    own_rules: bool
    notes: str = ""


@dataclass(frozen=True, slots=True)
class Refused:
    """A register that could not be judged, why, and what to do."""

    place: str
    reason: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Standing:
    """How one plant stands in the league.

    `majors` are by harm the majors that failed; the figures `…_per_100` are for 100 positions. `unknown_per_100` are
    the majors that are unknown; `expected_per_100` is what there would be if those failed as often as the ones that are
    known, None where little is known: the league is in its order. `known_pct` is the share of the verdicts that apply
    which are known. `own_per_100` is what the plant's own rules find, where all plants are held to the fleet's.
    """

    plant: Plant
    majors: Mapping[str, int]
    majors_per_100: float
    unknown_per_100: float
    expected_per_100: float | None
    known_pct: float | None
    provisional_pct: float | None
    failed: int
    worst_rules: tuple[tuple[str, int], ...]
    to_read: tuple[tuple[str, int], ...]
    own_per_100: float | None = None

    @property
    def little_known(self) -> bool:
        """Whether too little is known for a place in the league: it stands before those that have one."""
        return self.expected_per_100 is None


def places(league: Sequence[Standing]) -> list[int | None]:
    """The place of each plant, in the order of the league; None where too little is known."""
    placed = count(1)
    return [None if one.little_known else next(placed) for one in league]


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule over all plants: in `cells`, in the order of the league, how many failed, passed, are unknown."""

    rule: str
    title: str
    grade: str
    harm: str
    plants: int
    failed: int
    unknown: int
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class ModelRow:
    """One model over all plants: in `cells`, in the order of the league, positions, devices failed, devices in store.

    `bare` counts the plants that have it installed and none in store.
    """

    model: str
    maker: str
    kind: str
    lifecycle: str
    successor: str
    plants: int
    positions: int
    critical: int
    failed: int
    in_store: int
    bare: int
    lead_time_days: tuple[float, float] | None
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Outlier:
    """A plant whose setting of a model none of the others has, while those all agree."""

    plant: str
    maker: str
    model: str
    setting: str
    value: str
    devices: int
    others: str
    plants: int


@dataclass(frozen=True, slots=True)
class Year:
    """The last audits that plants kept in a year: how many plants, positions and majors, and what share is known."""

    year: int
    plants: int
    positions: int
    majors: int
    majors_per_100: float
    known_pct: float | None


@dataclass(frozen=True, slots=True)
class FailureRow:
    """One kind of device: its pooled rate in words, whether it fails more often than before, and at which plants."""

    kind: str
    rate: str
    trend: str
    more_often_at: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SharedRow:
    """One stock of a model for several plants: `needed` spares together, `alone` in all where each has its own.

    `held` lie there now. A failure waits `wait_days` on average for the way from the best of their stores.
    """

    model: str
    plants: tuple[str, ...]
    devices: int
    needed: int
    alone: int
    held: int
    enough_pct: float
    wait_days: float


@dataclass(frozen=True, slots=True)
class Paragraph:
    """What is to be said of one plant, in a few sentences."""

    plant: str
    text: str


@dataclass(frozen=True, slots=True)
class FleetReport:
    """All plants together: the league first, then rules, models, settings, years, and each plant in a paragraph.

    `by` is `fleet` where all plants are held to rules given for all, else `own`. `twins` are registers that are copies
    of one another, of which each was counted. `rates_file` is what `spares --rates` reads, with what it leaves out.
    """

    days: tuple[str, str]
    program: str
    pack: str
    by: str
    positions: int
    verdicts: int
    known_pct: float | None
    majors: Mapping[str, int]
    league: tuple[Standing, ...]
    refused: tuple[Refused, ...]
    rules: tuple[RuleRow, ...]
    models: tuple[ModelRow, ...]
    outliers: tuple[Outlier, ...]
    years: tuple[Year, ...]
    paragraphs: tuple[Paragraph, ...]
    failures: tuple[FailureRow, ...] = ()
    shared: tuple[SharedRow, ...] = ()
    days_between: tuple[float, ...] = ()
    twins: tuple[tuple[str, ...], ...] = ()
    confidential: bool = False
    rates_file: bytes = b""
    rates_left_out: tuple[str, ...] = ()
    reused: int = 0
