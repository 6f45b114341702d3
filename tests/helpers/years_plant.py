"""The days of the two audits, and how a test edits a register."""

from datetime import date

from register.store.database import opened, writing

FIRST, SECOND = date(2025, 11, 25), date(2026, 11, 25)

SMALL = (
    "INSERT INTO position (tag, area, criticality, standby, service_kind) VALUES"
    " ('P-1', 'Wet end', 'critical', 'none', 'process'), ('P-2', 'Dry end', 'ordinary', 'none', 'process')",
    "INSERT INTO bypass (tag, bypass_arrangement) VALUES ('P-1', 'internal only')",
    "INSERT INTO motor (motor, tag, fla_a) VALUES ('M1', 'P-1', 65), ('M2', NULL, 65)",
    "INSERT INTO model (model, device_kind, rated_current_a, derate_pct_per_c,"
    " derate_pct_per_100m) VALUES ('X', 'soft starter', 66, 1, 1)",
    "INSERT INTO device (device, model, tag) VALUES ('D1', 'X', 'P-1'), ('D2', 'X', NULL)",
    "INSERT INTO record (tag, record_kind, done_on, result) VALUES ('P-1', 'thermography', '2024-01-10', 'passed')",
)


def edit(path, *statements):
    with opened(path, write=True) as db, writing(db, reason="edits", author="rk"):
        for sql in statements:
            db.conn.execute(sql)
