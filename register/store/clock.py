"""The site's own day: when it begins and ends, whatever the clock of the computer says."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from register.errors import Problem, StartrollError


def zone_named(name: str) -> ZoneInfo:
    """The time zone of that name; StartrollError when there is none."""
    try:
        return ZoneInfo(name)
    except (ValueError, OSError, LookupError):
        raise StartrollError(
            Problem(
                f"there is no time zone {name!r}",
                "write it as the IANA data base does: America/Denver, Europe/Oslo, UTC",
                "time_zone",
            )
        ) from None


def zone_of(db: Database) -> ZoneInfo | None:
    """The site's time zone; None where the register does not say, and the computer's counts."""
    row = db.execute("SELECT time_zone FROM site").fetchone()
    return zone_named(row[0]) if row and row[0] else None


def today(db: Database) -> date:
    """The day that it is on site."""
    return datetime.now(UTC).astimezone(zone_of(db)).date()


def day_of(db: Database, instant: str) -> date:
    """The day on site of an instant that the register wrote down."""
    return datetime.fromisoformat(instant).astimezone(zone_of(db)).date()


def end_of(db: Database, day: date) -> str:
    """The first instant after a day on site, in the form in which the register writes instants."""
    midnight = datetime.combine(day + timedelta(days=1), time.min, tzinfo=zone_of(db))
    return midnight.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S")
