"""A crew's page put together: the due list, settings and parts that clear findings, and the page itself."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING

from register.cli.common import AuditOptions, day
from register.errors import Problem, StartrollError

if TYPE_CHECKING:
    from register.audit.session import Session
    from register.rounds.crew_page import Change
    from register.rounds.model import Round


def page_of(
    options: AuditOptions,
    *,
    bus: str | None,
    area: str | None,
    crew: str,
    on: str | None,
    until: str | None,
    needs: str,
    top: int | None,
    readings: int,
) -> Round:
    """The page of a crew's day; StartrollError where an option is not sound or nothing is to be done."""
    from register.maintenance.due import due_list, until_day
    from register.maintenance.model import NEEDS
    from register.rounds.crew_page import Day, crew_page

    if needs not in NEEDS[:-1]:
        raise StartrollError(
            Problem(f"{needs!r} is nothing that can be off", f"one of: {', '.join(NEEDS[:-1])}", "--needs")
        )
    made_on = datetime.now(UTC).astimezone().isoformat(timespec="seconds")
    with options.opened(area=area) as session:
        due = due_list(
            session.db, today=session.today, until=until_day(until, session.today), area=area, bus=bus,
            site_rules=options.site_rules,
        )  # fmt: skip
        asked = Day(
            on=day(on, "--on").isoformat() if on else session.today.isoformat(), crew=crew, area=area, bus=bus,
            needs=needs, top=top, readings=readings, changes=partial(_changes, session), parts=partial(_parts, session),
        )  # fmt: skip
        return crew_page(session, asked, due.items, made_on=made_on)


def _changes(session: Session, tags: Sequence[str]) -> dict[str, list[Change]]:
    """The least that has to be set otherwise at each position."""
    from register.planning.settings.least_change import least_change
    from register.planning.trials import Trials
    from register.rounds.crew_page import Change

    trials = Trials(session.db, tags, pack=session.pack, today=session.today, measured_only=session.measured_only)
    return {
        tag: [Change(c.column, c.before, c.value, c.hardware) for c in least_change(trials, tag).changes]
        for tag in tags
    }


def _parts(session: Session, tags: Sequence[str]) -> dict[str, str]:
    """The device in store that fits best at each position, and where it lies; without those where none passes."""
    from register.planning.replace.of_register import best_in_store

    return {
        tag: f"{one.maker} {one.model}, serial {one.serial}, {one.where}"
        for tag, one in best_in_store(session, tags).items()
    }
