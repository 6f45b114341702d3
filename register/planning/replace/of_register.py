"""Candidates of the register in a file: for one position, or for every failed device."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from datetime import date
from functools import partial
from pathlib import Path

from sqlite_utils import Database

from register.errors import Problem, StartrollError
from register.facts.chunks import cores
from register.planning.replace.candidates import Finder, failed_positions
from register.planning.replace.shortlist import Shortlist, explained
from register.rulebook.load.pack import load_pack
from register.store.database import opened
from register.store.queries import positions, rows_at

FEW = 20  # positions that are quicker searched in one process than in several


def candidates(
    path: Path,
    tag: str,
    *,
    today: date,
    top: int = 5,
    in_store: bool = False,
    site_rules: Path | None = None,
    measured_only: bool = False,
) -> Shortlist:
    """The best candidates for the place of the device at one position.

    Parameters
    ----------
    path, today : the register, which is only read, and the day of the swap and the judgement.
    top : how many to tell of.
    in_store : try only what lies in store.
    site_rules : a folder of the site's own rules and limits.
    measured_only : use no stand-in.

    Raises StartrollError for an unknown tag, and where there is nothing to try.
    """
    with opened(path) as db:
        rows_at(db, tag)
        return _shortlists(
            db, [tag], today=today, top=top, in_store=in_store, site_rules=site_rules, measured_only=measured_only
        )[0]


def for_failed(
    path: Path,
    *,
    today: date,
    area: str | None = None,
    in_store: bool = False,
    site_rules: Path | None = None,
    measured_only: bool = False,
) -> list[Shortlist]:
    """The best candidate for each device that is marked failed, in order of tag; of one area.

    Raises StartrollError for an unknown area.
    """
    with opened(path) as db:
        within = {row["tag"] for row in positions(db, area=area)}
        tags = [tag for tag in failed_positions(db) if tag in within]
    work = partial(
        _of_some, path, today=today, top=1, in_store=in_store, site_rules=site_rules, measured_only=measured_only
    )
    return in_parallel(work, tags)


def in_parallel(work: Callable[[Sequence[str]], list[Shortlist]], tags: Sequence[str]) -> list[Shortlist]:
    """A parallel map: `work` done on shares of the tags, in several processes where the tags are many.

    The results come back in order of tag, as from one process.
    """
    many = min(cores(), len(tags) // FEW)
    if many < 2:
        return work(tags)
    try:
        with ProcessPoolExecutor(many) as pool:
            shares = list(pool.map(work, [tags[i::many] for i in range(many)]))
    except BrokenProcessPool:
        return work(tags)
    return sorted((made for share in shares for made in share), key=lambda made: made.tag)


def _of_some(path: Path, tags: Sequence[str], **how) -> list[Shortlist]:
    with opened(path) as db:
        return _shortlists(db, tags, **how) if tags else []


def _shortlists(
    db: Database,
    tags: Sequence[str],
    *,
    today: date,
    top: int,
    in_store: bool,
    site_rules: Path | None,
    measured_only: bool,
) -> list[Shortlist]:
    pack = load_pack(site_folder=site_rules)
    finder = Finder(db, tags, pack=pack, today=today, measured_only=measured_only, stored_only=in_store)
    if not finder.candidates:
        raise StartrollError(
            Problem(
                "no device lies in store" if in_store else "no device in store, and no model",
                "take in the catalogue and the list of the store: startroll take-in",
            )
        )
    return explained(finder, finder.ranked(tags, top=top))
