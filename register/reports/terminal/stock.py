"""What the store should hold, in a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group as Lines
from rich.console import RenderableType
from rich.text import Text

from register.planning.stock.holdings import Bare, Group, Place, Spare, Stock
from register.reports.terminal.layout import few, table, titled
from register.text import counted, money, number, shown, two_digits

MOST = 25
NOTE = (
    "A model covers a position when, tried there with the settings of its sheet, it passes every "
    "major rule that a device has a part in. Fails: failures to be expected at those positions "
    "while a delivery is on its way. Hold: the fewest with which none has to wait, at the service "
    "level, and one at least where a critical load has no installed standby; what has failed "
    "already wants one besides. Every device in store counts for one group only."
)
CAUTION = (
    "That a spare fits by its numbers does not authorise installing it: isolate, lock, prove dead, and "
    "put it in service as its checklist says; local codes and licensed practice come first."
)
SEE_BELOW = "see below what to read"
NO_CATALOGUE = "none could be tried. Take in a list of the models that can be bought, by catalogue number"


def stock(made: Stock, *, show_all: bool = False) -> RenderableType:
    """The groups, what nothing covers, what does not count, and what it all assumes."""
    parts: list[RenderableType] = [
        Text(headline(made), style="bold"),
        Text(f"{made.site}, {made.today}. {_all(made)}" if made.groups else f"{made.site}, {made.today}"),
    ]
    if not made.groups:
        tried = any(bare.nearest for bare in made.bare)
        parts.append(Text(f"No model is known to cover any position: {SEE_BELOW if tried else NO_CATALOGUE}."))
    else:
        parts += [Text(), _groups(made.groups, made.currency)]
    parts += [*_uncovered(made.uncovered), *_bare(made.bare, show_all), *_spares(made)]
    rates = table("Kind", "Failures a year and device")
    for kind, told in made.rates:
        rates.add_row(kind, told)
    parts.append(titled("How often devices fail", rates))
    return Lines(*parts, Text(), Text(CAUTION, style="dim"))


def headline(made: Stock) -> str:
    """How many to buy and for how much, and what that gives."""
    level = f"{number(made.service_level_pct)} %"
    short = [group for group in made.groups if group.short]
    buy = [group for group in short if group.item.lifecycle != "withdrawn"]
    gone = sum(group.short for group in short) - sum(group.short for group in buy)
    so = f"so that with {level} no failure of a type waits for its delivery"
    also = f"; {gone} more can no longer be bought" if gone else ""
    if not buy:
        return f"Nothing to buy{also}: what is held is enough, {so}." if made.groups else f"Spares, {so}."
    prices = [group.item.price for group in buy]
    count = sum(group.short for group in buy)
    known = sum(price * group.short for price, group in zip(prices, buy, strict=True) if price is not None)
    more = " and those without a price" if None in prices else ""
    return f"Buy {counted(count, 'starter')}, {money(known, made.currency)}{more}, {so}{also}."


def _groups(groups: Sequence[Group], currency: str) -> RenderableType:
    rows = table("Model", "for ", "Fails ", "Delivered ", "Hold ", "Held ", "Short ", "Enough ")
    whom = table("Model", "Remarks", "Covers")
    for g in groups:
        rows.add_row(
            g.item.model,
            str(len(g.places)),
            _small(g.demand),
            shown(g.item.lead_time_days, "d"),
            _hold(g),
            str(len(g.held)),
            str(g.short) if g.short else "-",
            _surely(g.enough_pct),
        )
        whom.add_row(g.item.model, _remark(g, currency) or "-", few(g.tags))
    return Lines(rows, Text(NOTE, style="dim"), titled("Which covers whom", whom))


def _surely(pct: float | None) -> str:
    """Never quite 100 %."""
    if pct is None:
        return "unknown"
    return "> 99.9 %" if pct > 99.9 else f"{pct:.1f} %"


def _small(value: float | None) -> str:
    return "unknown" if value is None else two_digits(value)


def _hold(group: Group) -> str:
    return f"{group.hold} or more" if group.by_demand is None else str(group.hold)


def _remark(group: Group, currency: str) -> str:
    """Why so many, what can't be bought, what is to be collected."""
    said = []
    if group.failed_now:
        said.append(f"{group.failed_now} wanted now")
    if group.hold - group.failed_now > (group.by_demand or 0):
        said.append("one for a critical load")
    if group.short and group.item.lifecycle == "withdrawn":
        said.append("withdrawn: no more can be bought")
    elif group.short:
        price = group.item.price
        at = "its price is missing" if price is None else f"{money(price, currency)} each"
        said.append(f"buy {group.short}, {at}")
    if group.to_read:
        said.append(f"read {', '.join(group.to_read)}")
    return "; ".join(said)


def _all(made: Stock) -> str:
    if made.all_enough_pct is None:
        return "Whether no group at all runs out is unknown: one of them lacks its lead time."
    return (
        f"With what is held, {_surely(made.all_enough_pct)} that in one time of delivery no "
        "position of any group waits."
    )


def _uncovered(places: tuple[Place, ...]) -> list[RenderableType]:
    if not places:
        return []
    rows = table("Tag", "Standby", "Device there")
    for place in places:
        rows.add_row(place.tag, place.standby or "unknown", place.model or "unknown")
    title = f"Critical, and nothing ready in store is known to fit: {len(places)}"
    return [titled(title, rows)]


def _bare(places: tuple[Bare, ...], show_all: bool) -> list[RenderableType]:
    """The critical ones first."""
    if not places:
        return []
    rows = table("Tag", "Nearest", "Fails there", "Fields to read")
    ordered = sorted(places, key=lambda bare: (bare.criticality != "critical", bare.tag))
    most = len(places) if show_all else MOST
    for bare in ordered[:most]:
        fails = ", ".join(bare.failed) or ("can't tell" if bare.nearest else "nothing was tried")
        rows.add_row(bare.tag, bare.nearest or "-", fails, ", ".join(bare.to_read) or "-")
    rest = tuple(bare.tag for bare in ordered[most:])
    told = [Text(f"{len(rest)} more, --all shows them: {few(rest)}", style="dim")] if rest else []
    title = f"No model that was tried is known to fit: {len(places)}"
    return [titled(title, Lines(rows, *told))]


def _spares(made: Stock) -> list[RenderableType]:
    parts: list[RenderableType] = []
    if made.not_ready:
        rows = table("Device", "Model", "Why it does not count", "Fields to read")
        for spare in made.not_ready:
            rows.add_row(spare.serial, spare.model or "unknown", spare.state, ", ".join(spare.to_read) or "-")
        parts.append(titled(f"In store, and not to be counted on: {len(made.not_ready)}", rows))
    if made.surplus:
        title = f"In store, and wanted by no group: {len(made.surplus)}"
        parts.append(titled(title, Text(", ".join(map(_named, made.surplus)))))
    if not (made.surplus or made.not_ready or any(g.held for g in made.groups)):
        parts.append(Text("The register names no device in store: take in the store's list."))
    return parts


def _named(spare: Spare) -> str:
    return f"{spare.serial} ({spare.model or 'model unknown'})"
