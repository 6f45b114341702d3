"""What a summary takes from the register without judging: its catalogue, ages, settings, failures, kept audits."""

from __future__ import annotations

from collections import Counter
from datetime import date
from functools import lru_cache
from typing import Any

from sqlite_utils import Database

from register import columns
from register.calc.spares import DAYS_PER_YEAR
from register.maintenance.device_failures import failure_record
from register.store.audits import kept_audits
from register.text import number

_MODELS = """
SELECT model_maker, model, device_kind, lifecycle, successor, lead_time_days, price,
    count(device.tag) FILTER (WHERE device_status IS NOT 'scrapped'),
    count(device.tag) FILTER (WHERE device_status IS NOT 'scrapped' AND criticality = 'critical'),
    count(*) FILTER (WHERE device_status = 'failed'),
    count(*) FILTER (WHERE device_status = 'in store'),
    lifecycle = 'withdrawn'
FROM device JOIN model USING (model) LEFT JOIN position ON position.tag = device.tag
WHERE device_status IS NOT 'scrapped' GROUP BY model ORDER BY model
"""
_AGES = """
SELECT model_maker, model, device_kind, CAST(substr(made_on, 1, 4) AS INTEGER) AS year, count(*)
FROM device LEFT JOIN model USING (model) WHERE device_status IS NOT 'scrapped'
GROUP BY 1, 2, 3, 4 ORDER BY 2, 4
"""
# Settings that follow from the motor say nothing when plants are compared.
_OF_THE_MOTOR = ("A", "kW", "V")
SETTINGS = tuple(
    c.name
    for c in columns.TABLES["setting"].columns
    if c.kind in ("text", "real", "integer")
    and c.unit not in _OF_THE_MOTOR
    and (c.choices or c.is_number)
    and c.name not in columns.TABLES["setting"].key
)
_SETTINGS = f"""
SELECT model_maker, model, {", ".join(SETTINGS)} FROM setting
JOIN device USING (device) JOIN model USING (model)
WHERE device.tag IS NOT NULL AND device_status IS NOT 'scrapped' AND setting_recorded_on = (
    SELECT max(setting_recorded_on) FROM setting AS other WHERE other.device = device.device)
"""


def models(db: Database) -> list[tuple]:
    """Rows of the table `models`."""
    return [(*row[:-1], bool(row[-1])) for row in db.conn.execute(_MODELS)]


def ages(db: Database) -> list[tuple]:
    """Rows of the table `ages`."""
    return db.conn.execute(_AGES).fetchall()


def settings(db: Database) -> list[tuple]:
    """Rows of the table `settings`."""
    counted: Counter[tuple] = Counter()
    rows = db.conn.execute(_SETTINGS).fetchall()
    makers, models, *columns_of = zip(*rows, strict=True) if rows else ((), ())
    for name, values in zip(SETTINGS, columns_of, strict=bool(rows)):
        for (maker, model, value), devices in Counter(zip(makers, models, values, strict=True)).items():
            if value is not None:
                counted[maker, model, name, value if isinstance(value, str) else _told(value)] += devices
    return [
        (*key, devices) for key, devices in sorted(counted.items(), key=lambda item: (str(item[0][0]), item[0][1:]))
    ]


_told = lru_cache(maxsize=4096)(number)  # of a few values many devices have the same


def failures(db: Database, today: date) -> tuple[str | None, list[tuple]]:
    """The day of the first event, and rows of the table `failures`; a year is blank where nobody entered it."""
    record = failure_record(db, today=today, opening=False)
    makers = dict(db.conn.execute("SELECT model, model_maker FROM model").fetchall())
    return record.since, [
        (
            *(row.kind, row.high_voltage, makers.get(row.model), row.model, row.year),
            *(row.failures, row.doubtful, row.days / DAYS_PER_YEAR),
        )
        for row in record.rows
    ]


def audits(db: Database) -> list[tuple]:
    """Rows of the table `audits`."""
    return [
        (
            audit.today,
            int(audit.scope.get("positions", 0)),
            audit.counts["major"]["failed"],
            *(_sum(audit.counts, outcome) for outcome in (("failed",), ("cant-tell",))),
            _sum(audit.counts, ("failed", "cant-tell", "passed")),
            len(audit.rules),
            audit.pack_hash,
        )
        for audit in kept_audits(db)
    ]


def _sum(counts: dict[str, dict[str, int]], outcomes: tuple[str, ...]) -> int:
    return sum(by[outcome] for by in counts.values() for outcome in outcomes)


def accepted(db: Database, today: date) -> set[tuple[str, str]]:
    """(rule, tag, bus or serial) of each concession that is approved, not withdrawn and has not expired."""
    rows = db.conn.execute(
        "SELECT rule, coalesce(tag, bus, device) FROM concession"
        " WHERE decision = 'approved' AND withdrawn_on IS NULL AND expires_on >= ?",
        (today.isoformat(),),
    )
    return set(rows.fetchall())


def head(db: Database) -> dict[str, Any]:
    """What the table `plants` takes from the register."""
    names = ("site", "practice", "currency", "time_zone")
    site = db.conn.execute(f"SELECT {', '.join(names)} FROM site").fetchone() or (None,) * len(names)
    register_id = db.conn.execute("SELECT register_id FROM identity").fetchone() or (None,)
    return dict(zip(names, site, strict=True)) | {"register_id": register_id[0]}
