"""What the maintenance programme of a plant left in its records: earlier looks, cleaning, tests of breakers and stops.

No latest check of a kind that rules judge is touched, so that no finding moves: what is here came before, or is of a
kind that no rule reads.
"""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from making.places import PEOPLE, TODAY

POOR_SINCE = "2026-07-01"  # looked at since then, a place in condition 3 is not overdue
POOR = ("MCC-21", "MCC-31", "LV-B")


def programme(places: list[dict]) -> None:
    """Give each place its earlier records as `history`, and grade a few as poor."""
    for place in places:
        rng = Random(f"{place['tag']} programme")
        place["history"] = [record for record in _history(place, rng) if record["done_on"] <= TODAY.isoformat()]
    for bus in POOR:
        clean = [p for p in places if p["bus"] == bus and "seeded" not in p and p.get("physical_condition")]
        for place in [p for p in clean if (p.get("thermography_on") or "") >= POOR_SINCE][:2]:
            place["physical_condition"] = "3"


def _history(place: dict, rng: Random) -> list[dict]:
    """Earlier records: about one in ten late, a few that found something and were put right within a month."""
    found = []
    for kind, known in (("thermography", "thermography_on"), ("visual inspection", "visual_inspection_on")):
        day = place.get(known)
        for _ in range(2 if day else 0):
            before = date.fromisoformat(day) - timedelta(days=rng.choice((280, 320, 350, 360, 365, 365, 366, 400)))
            day = before.isoformat()
            found += _looked(place["tag"], kind, before, rng, finds=0.06)
    if rng.random() < 0.85:
        day = TODAY - timedelta(days=rng.randrange(10, 420))
        for _ in range(3):
            found += _looked(place["tag"], "cleaning", day, rng, finds=0.15)
            day -= timedelta(days=rng.choice((300, 340, 365, 380)))
    if "breaker" in (place.get("protection_kind") or "") and rng.random() < 0.5:
        found += _looked(place["tag"], "breaker test", TODAY - timedelta(days=rng.randrange(60, 1500)), rng, finds=0.05)
    if place.get("emergency_stop") == "hardwired" and rng.random() < 0.7:
        found += _looked(
            place["tag"], "emergency stop test", TODAY - timedelta(days=rng.randrange(20, 500)), rng, finds=0
        )
    return found


def _looked(tag: str, kind: str, day: date, rng: Random, *, finds: float) -> list[dict]:
    record = {"tag": tag, "record_kind": kind, "done_on": day.isoformat(), "done_by": rng.choice(PEOPLE)}
    if rng.random() >= finds:
        return [record | {"result": "passed"}]
    again = (day + timedelta(days=rng.randrange(3, 30))).isoformat()
    return [record | {"result": "failed"}, record | {"done_on": again, "result": "passed"}]
