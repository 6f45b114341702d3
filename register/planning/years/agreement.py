"""Whether a plan of replacements would choose the best candidate for a position, and why not."""

from __future__ import annotations

from register.audit.session import Session
from register.maintenance.device_failures import OUT_OF_ORDER
from register.planning.replace.shortlist import Listed, Shortlist
from register.planning.stock.holdings import READY
from register.planning.stock.survey import Survey, survey
from register.planning.years.of_register import WITHDRAWN, candidates_at
from register.planning.years.plan import NewDevice
from register.text import money


def against_plan(session: Session, made: Shortlist) -> str:
    """One line: a plan would choose the first candidate of a position too, or another one and why.

    Parameters
    ----------
    session : the open register.
    made : the candidates for one position.
    """
    first = made.candidates[0] if made.candidates else None
    if first is None:
        return ""
    found = survey(session, tags=(made.tag,), besides=(first.model,))
    if not found.facts[made.tag]["device"]:
        return ""
    chosen = next(candidates_at(found, made.tag), None)
    if chosen is None:
        return "A plan replaces nothing here: no model that can be bought passes all that depends on the device."
    if chosen.price is None:
        return f"A plan replaces nothing here until the price of {chosen.model} is known."
    name = f"{chosen.stored} from store" if chosen.stored else f"a new {chosen.model}"
    if chosen.model == first.model and bool(chosen.stored) == bool(first.serial):
        pooled = "; it may give that to another position, where it takes more risk away" if chosen.stored else ""
        return f"A plan that replaces this device takes the same: {name}{pooled}."
    return f"A plan that replaces this device takes {name}: {_why(found, made, first, chosen)}."


def _why(found: Survey, made: Shortlist, first: Listed, chosen: NewDevice) -> str:
    """The first thing, in the plan's own order, in which its choice goes before the first candidate."""
    facts = found.facts[made.tag]
    if first.serial and facts["device_status"] not in OUT_OF_ORDER:
        return "it leaves the store alone until the device has failed"
    states = {spare.serial: spare.state for spare in found.spares}
    if first.serial and states.get(first.serial, READY) != READY:
        return f"{first.serial} is not ready: {states[first.serial]}"
    tried, other = found.tried[made.tag].get(first.model), found.tried[made.tag][chosen.model]
    if tried is None:
        return "the model of the first candidate is unknown"
    if tried.failed:
        return f"{first.model} fails {', '.join(tried.failed)}"
    if not first.serial and found.catalogue[first.model].lifecycle == WITHDRAWN:
        return f"{first.model} is withdrawn"
    if chosen.stored and not first.serial:
        return "it takes what lies in store, of any kind, before it buys"
    kinds = found.catalogue[chosen.model].kind, found.catalogue[first.model].kind
    if kinds[0] != kinds[1]:
        return f"of the installed kind, {kinds[0]}, before it weighs time of delivery"
    if len(other.open) < len(tried.open):
        return "fewer major rules are unknown for it"
    prices = [_price(price, made.currency) for price in (found.catalogue[chosen.model].price, first.price)]
    return f"it goes by price ({prices[0]}, not {prices[1]}) and not by time of delivery"


def _price(price: float | None, currency: str) -> str:
    return "price unknown" if price is None else money(price, currency)
