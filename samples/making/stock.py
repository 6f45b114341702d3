"""What lies in store: a few motors and devices like those in service."""

from __future__ import annotations

from random import Random

from register.columns import TABLES

NAMEPLATE = [c.name for c in TABLES["motor"].columns if c.name not in ("tag", "motor_installed_on")]


def stock(places: list[dict], rng: Random) -> list[dict]:
    """Spare motors with the nameplate of one in service, and spare devices of its model."""
    known = [place for place in places if "seeded" not in place]
    few = len(known) // 20
    motors = [
        {name: place.get(name) for name in NAMEPLATE}
        | {"motor": f"S{rng.randrange(10**5, 10**6)}", "motor_status": "in store"}
        for place in rng.sample(known, few)
    ]
    devices = [
        {
            "device": f"S{rng.randrange(10**7, 10**8)}", "model": place["model"],
            "device_status": "in store", "made_on": "2023-02-14",
            "stored_since": f"2024-0{rng.randrange(1, 10)}-1{rng.randrange(0, 10)}",
            "reformed_on": "2026-02-17" if place["letter"] == "D" else None,
        }
        for place in rng.sample([p for p in known if "unidentified" not in p["model"]], few)
    ]  # fmt: skip
    return motors + devices
