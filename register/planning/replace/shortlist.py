"""The result of a search for candidates, explained: for each position the best, and what is against them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from register.columns.units import power
from register.planning.model import RuleResult
from register.planning.replace.candidates import Finder, Judged, Ranked
from register.planning.trials import Opened
from register.rulebook.model import Outcome
from register.starts.words import not_a_cage
from register.text import shown


@dataclass(frozen=True)
class Listed:
    """A candidate: which device, where it is, what it fails, what is unknown, what else has to be changed.

    `serial` is empty for a new one. `where` says in words how it is to be had, `obtainable` whether
    it can be. `outstanding` are the titles of what is to be done once it is installed;
    `provisional` is how many of its verdicts assume a value.
    """

    model: str
    serial: str
    maker: str
    kind: str
    rated_current_a: float | None
    where: str
    obtainable: bool
    price: float | None
    lead_time_days: float | None
    fits: bool
    fails: tuple[RuleResult, ...]
    cant_tell: tuple[RuleResult, ...]
    lesser: tuple[RuleResult, ...]
    other_changes: tuple[str, ...]
    outstanding: tuple[str, ...]
    provisional: int
    settings: Mapping[str, Any]


@dataclass(frozen=True)
class Never:
    """A major rule that no candidate passes: `own` where it comes out the same with any device."""

    rule: str
    title: str
    sentence: str
    own: bool


@dataclass(frozen=True)
class Shortlist:
    """The best candidates for a position, out of so many tried; and what none of them can pass."""

    tag: str
    description: str
    installed: str
    motor: str
    currency: str
    today: str
    tried: int
    tried_stored: int
    candidates: tuple[Listed, ...]
    never: tuple[Never, ...]
    by_hand: str = ""  # why no settings were sought by the study of a start
    plan: str = ""  # whether a plan would choose the first of them, and why not

    @property
    def best(self) -> Listed | None:
        """The first, where it can be had and fails no major rule."""
        first = self.candidates[0] if self.candidates else None
        return first if first and first.fits and first.obtainable else None

    @property
    def statement(self) -> str:
        """In a sentence: what goes in, or why nothing does."""
        if not self.candidates:
            return "Nothing could be tried: the register has no device in store and no model."
        if self.best:
            return f"{self.best.model} fails no major rule here."
        if self.candidates[0].fits:
            return "What would pass can no longer be bought, and none lies in store."
        parts = ["No candidate that can be had passes every major rule."]
        own = "; ".join(n.title for n in self.never if n.own)
        other = "; ".join(n.title for n in self.never if not n.own)
        parts += [f"Whatever is installed here fails, until the position is corrected: {own}."] if own else []
        parts += [f"No device tried passes: {other}."] if other else []
        return " ".join(parts if self.never else [*parts, "Each fails another; the first fails the fewest."])


def explained(finder: Finder, every: Sequence[Ranked]) -> list[Shortlist]:
    """The result of a search at each position, with why each rule is failed or what would decide it."""
    listed: dict[str, list[Listed]] = {ranked.tag: [] for ranked in every}
    never: dict[str, tuple[Never, ...]] = {}
    # The first of each position together, then the second: verdicts are opened for one variant of a position.
    for place in range(max((len(ranked.candidates) for ranked in every), default=0)):
        there = [ranked for ranked in every if len(ranked.candidates) > place]
        judged = {ranked.tag: ranked.candidates[place] for ranked in there}
        with finder.trials.opened(c.variant for c in judged.values()) as opened:
            for tag, one in _listed(opened, judged).items():
                listed[tag].append(one)
            if place == 0:
                never = {ranked.tag: _never(opened, ranked) for ranked in there}
    return [_shortlist(finder, r, tuple(listed[r.tag]), never.get(r.tag, ())) for r in every]


def _listed(opened: Opened, judged: Mapping[str, Judged]) -> dict[str, Listed]:
    """One candidate at each position."""
    failed = {tag: [rule for ids in one.failed.values() for rule in ids] for tag, one in judged.items()}
    why = opened.explained(failed)
    fields = opened.to_read({tag: one.open_majors for tag, one in judged.items()})
    found = {}
    for tag, one in judged.items():
        fails = [_result(opened, e.rule, Outcome.FAILED, sentence=e.sentence) for e in why[tag]]
        candidate = one.candidate
        found[tag] = Listed(
            model=candidate.model,
            serial=candidate.serial or "",
            maker=candidate.maker,
            kind=candidate.kind or "kind unknown",
            rated_current_a=candidate.brings["rated_current_a"],
            where=candidate.where,
            obtainable=candidate.obtainable,
            price=candidate.price,
            lead_time_days=candidate.lead_time_days,
            fits=one.fits,
            fails=tuple(r for r in fails if r.rule in one.majors),
            lesser=tuple(r for r in fails if r.rule not in one.majors),
            cant_tell=tuple(_result(opened, r, Outcome.CANT_TELL, to_read=fields[tag][r]) for r in one.open_majors),
            other_changes=one.other_changes,
            outstanding=tuple(opened.of.rules[rule].title for rule in one.repeated),
            provisional=len(one.provisional),
            settings=one.settings,
        )
    return found


def _result(opened: Opened, rule: str, outcome: Outcome, **more: Any) -> RuleResult:
    known = opened.of.rules[rule]
    return RuleResult(rule, str(known.grade), outcome.word, known.title_at(outcome), **more)


def _never(opened: Opened, ranked: Ranked) -> tuple[Never, ...]:
    """The rules that no candidate passes, explained with the first."""
    why = opened.explained({ranked.tag: ranked.never})[ranked.tag]
    return tuple(Never(e.rule, opened.of.rules[e.rule].title_failed, e.sentence, e.rule in ranked.own) for e in why)


def _shortlist(finder: Finder, ranked: Ranked, listed: tuple[Listed, ...], never: tuple[Never, ...]) -> Shortlist:
    base = finder.trials.base[ranked.tag]
    device = ", ".join(base[name] for name in ("device_status", "device_kind", "model") if base[name] is not None)
    ratings = [power(base["power_kw"], base["practice"])] if base["power_kw"] is not None else []
    ratings += [shown(base[name], unit) for name, unit in (("motor_voltage_v", "V"), ("fla_a", "A")) if base[name]]
    return Shortlist(
        tag=ranked.tag,
        description=base["description"] or "",
        installed="no device known" if base["device"] is None else device or "a device of unknown type",
        motor=", ".join(ratings) or "nothing known of the motor",
        currency=base["currency"] or "",
        today=finder.trials.today.isoformat(),
        tried=ranked.tried,
        tried_stored=sum(c.stored for c in finder.candidates),
        candidates=listed,
        never=never,
        by_hand=not_a_cage(base["motor_type"]),
    )
