"""A plan of replacements and spares, in a terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise

from rich.console import Group, RenderableType
from rich.text import Text

from register.planning.years.plan import Item, Left, Plan, SpareItem, YearEnd
from register.reports.terminal.layout import few, table, titled
from register.text import counted, money, number, shown

MOST = 15
NOTE = (
    "Risk: failures a year × hours of lost load × criticality (3 critical, 2 essential or unknown, "
    "1 ordinary); its unit is weighted hours of outage a year. The rate counts failures that name no device "
    "as the device's. A device is replaced for what no setting corrects; startroll least-change TAG "
    "tells what a setting does. A spare is shared by the positions that it is named for: of their failures those "
    "find one that come while fewer are on order than are held (Poisson); one that is used is ordered anew with "
    "the repair's money. A spare needs no outage. Budgets are not carried over. The store is left alone but for what "
    "has failed already. Weights and published rates are common practice, and may lie far from "
    "yours: see rules/tables."
)
CAUTION = (
    "A plan is not a permit to work. Every replacement: isolate, lock, prove dead; parameters "
    "reviewed; first energised with the panel closed and nobody near; rotation and automatic "
    "restart checked. Arc flash and short-circuit ratings change with a device: local codes and "
    "licensed practice come first."
)


def plan(made: Plan, *, show_all: bool = False) -> RenderableType:
    """What is replaced in which year and why, how the plant then stands, what is left."""
    budget = money(made.budget, made.currency)
    outages = "" if made.outages is None else f", at most {made.outages} replacements"
    parts: list[RenderableType] = [
        Text(headline(made), style="bold"),
        Text(f"{made.site}, {made.today}: {made.years} years, {budget} a year{outages}"),
        Text(_result(made)),
        titled("How the plant then stands", _ends(made)),
        *_new(made.ends),
        *_waits(made),
    ]
    for year in range(1, made.years + 1):
        own = [item for item in made.items if item.year == year]
        spares = [spare for spare in made.spares if spare.year == year]
        if (own or spares) and (show_all or year == 1):
            title = f"Year {year}: {counted(len(own), 'replacement')}, {counted(len(spares), 'spare')}"
            told = [*(_spare(spare, made.currency) for spare in spares), *(_item(item, made.currency) for item in own)]
            parts.append(titled(f"{title}, {money(made.ends[year].spent, made.currency)}", Group(*told)))
    if not show_all and any(end.year > 1 and end.replaced + end.bought for end in made.ends):
        parts.append(Text("The later years: --all.", style="dim"))
    if made.left:
        parts.append(titled(f"The better for it, and not in the plan: {len(made.left)}", _left(made.left, show_all)))
    return Group(*parts, Text(), Text(NOTE, style="dim"), Text(), Text(CAUTION, style="dim"))


def headline(made: Plan) -> str:
    """What to do in the first year and for how much, the risk before and after, and where it stops paying."""
    if not (made.items or made.spares) or len(made.ends) < 2:
        return "Nothing is replaced or bought: nothing takes risk away within this budget."
    before, after = made.ends[0], made.ends[-1]
    year = min([item.year for item in made.items] + [spare.year for spare in made.spares])
    items, spares = ([one for one in own if one.year == year] for own in (made.items, made.spares))
    what = f"Replace {counted(len(items), 'starter')}" if items else ""
    what += f"{' and buy' if items else 'Buy'} {counted(len(spares), 'spare')}" if spares else ""
    text = f"{what} in year {year}, {money(made.ends[year].spent, made.currency)}. "
    text += f"Risk falls from {_figure(before.risk)} to {_hours(after.risk)} by year {after.year}"
    stop = stops_paying(made.ends)
    return f"{text}; after year {stop} money buys little." if stop else f"{text}."


def stops_paying(ends: Sequence[YearEnd]) -> int | None:
    """The year after which a unit of money takes away less than a tenth of the risk that it did at best; or None."""
    worth = [
        (end.year, (old.risk - end.risk - (old.risk_unplanned - end.risk_unplanned)) / end.spent)
        for old, end in pairwise(ends)
        if end.spent
    ]
    best = max((value for _, value in worth), default=0.0)
    poor = [year for year, value in worth if value < best / 10]
    return min(poor) - 1 if poor and min(poor) > 1 else None


def _result(made: Plan) -> str:
    sound = f"nothing that was tried does better than {counted(made.sound, 'device')}"
    if not made.items and not made.spares:
        return f"Nothing is replaced; {sound}."
    how = (
        "no choice takes more"
        if made.better_pct < 0.01
        else (f"the best choice takes at most {made.better_pct:.2g} % more")
    )
    return (
        f"{counted(len(made.items), 'replacement')} and {counted(len(made.spares), 'spare')} "
        f"take {_hours(made.taken_away)} of risk "
        f"away until the end; {how}; {sound}."
    )


def _spare(spare: SpareItem, currency: str) -> RenderableType:
    nth = "" if spare.nth == 1 else f", number {spare.nth}"
    how = f"{money(spare.price, currency)}, delivered in {shown(spare.lead_time_days, 'd')}"
    return Group(
        Text(f"spare {spare.model}{nth}: {how}; takes {_hours(spare.taken_away)} away", style="bold"),
        Text(f"  for {few(spare.tags)}; {spare.found_pct:.3g} % of the failures there then find one"),
    )


def _item(item: Item, currency: str) -> RenderableType:
    new = item.candidate
    what = f"{item.old_model or 'unknown'} → {new.model}"
    if new.stored:
        how = f"{new.stored} from store"
    else:
        how = f"{money(item.price, currency)}, delivered in {shown(new.lead_time_days, 'd')}"
    lines = [
        Text(f"{item.tag}  {what}: {how}; takes {_hours(item.taken_away)} away", style="bold"),
        Text(f"  {item.risk.explained}"),
    ]
    if new.clears:
        lines.append(Text(f"  corrects {', '.join(new.clears)}"))
    if new.open:
        read = ", ".join(new.to_read) or "its settings"
        rules = counted(len(new.open), "major rule")
        lines.append(Text(f"  before ordering: {rules} unknown for it; read {read}"))
    if item.risk.to_read:
        lines.append(Text(f"  the risk is sharper once read: {', '.join(item.risk.to_read)}"))
    return Group(*lines)


def _ends(made: Plan) -> RenderableType:
    rows = table("After", "Spent ", "Replaced ", "Spares ", "Risk ", "Unplanned ", "Majors failed ", "Can't tell ")
    for end in made.ends:
        rows.add_row(
            f"year {end.year}" if end.year else "today",
            money(end.spent, made.currency) if end.year else "-",
            str(end.replaced) if end.year else "-",
            str(end.bought) if end.year else "-",
            _figure(end.risk),
            _figure(end.risk_unplanned),
            f"{end.majors - outstanding(made.ends, end.year)}",
            str(end.cant_tell),
        )
    note = (
        "Every replacement up to that year entered in a copy of the register, with the settings of "
        "its sheet, and the whole plant audited as on this day. Risk: weighted hours of outage "
        "in that year, with the plan and without. Left out of the majors: checks that are outstanding "
        "after every swap until they are done and entered."
    )
    return Group(rows, Text(note, style="dim"))


def outstanding(ends: Sequence[YearEnd], year: int) -> int:
    """How many checks are outstanding by then for what was replaced."""
    return sum(len(end.outstanding) for end in ends if end.year <= year)


def _new(ends: Iterable[YearEnd]) -> list[RenderableType]:
    """The major findings that the plan itself would make, and the checks it will owe."""
    new = [(end.year, tag, rule) for end in ends for tag, rule in end.new]
    parts: list[RenderableType] = []
    if new:
        rows = table("After year ", "Tag", "Rule")
        for year, tag, rule in new:
            rows.add_row(str(year), tag, rule)
        parts.append(titled(f"New major findings that the plan would make: {len(new)}", rows))
    else:
        parts.append(Text("The plan makes no new major finding anywhere."))
    checks = Counter(rule for end in ends for _, rule in end.outstanding)
    if checks:
        told = ", ".join(f"{rule} ({count})" for rule, count in sorted(checks.items()))
        parts.append(Text(f"Outstanding after the swaps, to be done and entered: {told}"))
    return parts


def _waits(made: Plan) -> list[RenderableType]:
    """The risk that lies where a failure waits for a delivery."""
    if not made.waiting:
        return []
    unknown = (
        f" At {made.unstocked} of them the plan weighs no spare: no model is known to fit, or what it costs or when "
        "it comes is unknown; startroll spares names what to read."
    )
    return [
        Text(
            f"Of today's risk {_hours(made.waiting_risk)} lie at {counted(made.waiting, 'position')} "
            "where a failure waits for a delivery; startroll spares tells what to hold for a level of service."
            + (unknown if made.unstocked else "")
        )
    ]


def _left(left: Sequence[Left], show_all: bool) -> RenderableType:
    rows = table("Tag", "Would take away ", "Why not", "Fields to read")
    most = len(left) if show_all else MOST
    for one in left[:most]:
        rows.add_row(one.tag, _hours(one.risk.taken_away()[0]), one.why, ", ".join(one.to_read) or "-")
    more = tuple(one.tag for one in left[most:])
    return Group(rows, Text(f"{len(more)} more, --all shows them: {few(more)}", style="dim")) if more else rows


def _hours(value: float) -> str:
    return f"{_figure(value)} weighted h"


def _figure(value: float) -> str:
    return number(float(f"{value:.3g}"))
