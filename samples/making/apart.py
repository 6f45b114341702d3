"""Faults that are no position's: of whole lineups, and of devices in store."""

from __future__ import annotations

from making.catalogue import model

Row = dict[str, object]
Seeded = list[tuple[str, str, str]]

# lineup, what is made wrong, the rule that must see it, what is wrong
# fmt: off
LINEUPS = (
    ("MCC-51", {"lineup_withstand_ka": 30}, "line-protection/lineup-withstands-fault",
     "bus bars braced for less"),
    ("MCC-51", {"main_breaker_pickup_a": 2000, "bus_rating_a": 800},
     "line-protection/feeder-protection-within", "main as large as the transformer, before bars for 800 A"),
    ("MCC-21", {"fault_current_ka": 21}, "line-protection/fault-current-believable",
     "fault current of the smaller transformer that stood there before"),
    ("MCC-41", {"main_ground_fault_trip": "no"}, "line-protection/main-trips-on-ground-fault",
     "main without ground-fault trip"),
    ("MCC-31", {"voltage_unbalance_pct": 2.4}, "sizing/supply-balanced", "a blown fuse in the capacitor bank upstream"),
)
# fmt: on

# serial, letter and current of its model (None: that of a spare which is there already), since
# when in store, the rule, what is wrong
SPARES = (
    (
        "S51100267",
        "D",
        None,
        "2021-03-15",
        "lifecycle/spare-shelf-life",
        "drive in store for years, never under voltage",
    ),
    ("S51100311", "T", 330, "2025-06-02", "lifecycle/spare-has-a-place", "spare of a starter that was sold"),
)


def spoil_lineups(buses: list[Row], stand: list[Row]) -> Seeded:
    """Make the lineups wrong; on one that its own motors decide, what decides stays known."""
    for name, edits, *_ in LINEUPS:
        next(bus for bus in buses if bus["bus"] == name).update(edits)
    for place in stand:
        if place["bus"] == "MCC-51":
            place["decides_lineup"] = True
    return [(name, rule, note) for name, _, rule, note in LINEUPS]


def spoil_store(spares: list[Row], catalogue: dict[str, Row], *, practice: str) -> Seeded:
    """Put spares into store that nobody should rely on."""
    for serial, letter, rated_a, since, *_ in SPARES:
        entry = model(letter, rated_a or 330, practice=practice)
        if rated_a is None:
            held = (catalogue[spare["model"]] for spare in spares if "model" in spare)
            entry = next(e for e in held if e["device_kind"] == entry["device_kind"])
        catalogue.setdefault(entry["model"], entry)
        spares.append(
            {
                "device": serial,
                "model": entry["model"],
                "device_status": "in store",
                "stored_since": since,
                "last_powered_on": since if letter == "D" else None,
            }
        )
    return [(serial, rule, note) for serial, _, _, _, rule, note in SPARES]
