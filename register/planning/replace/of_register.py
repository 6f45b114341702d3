"""Candidates of the register in a file: for one position, or for every failed device."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from functools import partial
from pathlib import Path

from register.audit.session import AuditRequest, Session
from register.audit.session import session as session_of
from register.errors import Problem, StartrollError
from register.facts.chunks import cores, pipes_may_break
from register.planning.replace.candidates import Finder, failed_positions
from register.planning.replace.shortlist import Listed, Shortlist, explained
from register.planning.years.agreement import against_plan
from register.store.queries import positions, rows_at

FEW = 20  # positions that are quicker searched in one process than in several


def candidates(session: Session, tag: str, *, top: int = 5, in_store: bool = False) -> Shortlist:
    """The best candidates for the place of the device at one position, on the session's day.

    Parameters
    ----------
    top : how many to tell of.
    in_store : try only what lies in store.

    Raises StartrollError for an unknown tag, and where there is nothing to try.
    """
    rows_at(session.db, tag)
    made = _shortlists(session, [tag], top=top, in_store=in_store)[0]
    return replace(made, plan=against_plan(session, made))


def best_in_store(session: Session, tags: Sequence[str]) -> dict[str, Listed]:
    """The device in store that fits best at each of some positions; without those where none passes the majors."""
    try:
        made = _shortlists(session, tags, top=1, in_store=True) if tags else []
    except StartrollError:  # nothing lies in store
        return {}
    return {one.tag: one.best for one in made if one.best}


def for_failed(session: Session, *, in_store: bool = False) -> list[Shortlist]:
    """The best candidate for each device that is marked failed, in order of tag; of the area asked for.

    Raises StartrollError for an unknown area.
    """
    within = {row["tag"] for row in positions(session.db, area=session.request.area)}
    tags = [tag for tag in failed_positions(session.db) if tag in within]
    request = replace(session.request, today=session.today)
    return in_parallel(partial(_of_some, session.path, request, in_store=in_store), tags)


def in_parallel(work: Callable[[Sequence[str]], list[Shortlist]], tags: Sequence[str]) -> list[Shortlist]:
    """A parallel map: `work` done on shares of the tags, in several processes where the tags are many.

    The results come back in order of tag, as from one process.
    """
    many = min(cores(), len(tags) // FEW)
    if many < 2:
        return work(tags)
    try:
        with pipes_may_break(), ProcessPoolExecutor(many) as pool:
            shares = list(pool.map(work, [tags[i::many] for i in range(many)]))
    except BrokenProcessPool:
        return work(tags)
    return sorted((made for share in shares for made in share), key=lambda made: made.tag)


def _of_some(path: Path, request: AuditRequest, tags: Sequence[str], *, in_store: bool) -> list[Shortlist]:
    """The best candidate at some positions; it opens the register anew, for it may be another process."""
    if not tags:
        return []
    with session_of(path, request, write=False) as session:
        return _shortlists(session, tags, top=1, in_store=in_store)


def _shortlists(session: Session, tags: Sequence[str], *, top: int, in_store: bool) -> list[Shortlist]:
    finder = Finder(
        session.db,
        tags,
        pack=session.pack,
        today=session.today,
        measured_only=session.measured_only,
        stored_only=in_store,
    )
    if not finder.candidates:
        raise StartrollError(
            Problem(
                "no device lies in store" if in_store else "no device in store, and no model",
                "take in the catalogue and the list of the store: startroll take-in",
            )
        )
    return explained(finder, finder.ranked(tags, top=top))
