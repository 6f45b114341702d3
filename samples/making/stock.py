"""What lies in store: a few motors and devices like those in service."""

from __future__ import annotations

from random import Random

from register.columns import TABLES

NAMEPLATE = [c.name for c in TABLES["motor"].columns if c.name not in ("tag", "motor_installed_on")]


def stock(places: list[dict], catalogue: dict[str, dict], rng: Random) -> list[dict]:
    """Spare motors with the nameplate of one in service, and spare devices of its model.

    A device type has a spare where a critical load without standby needs it, or where it can no
    longer be bought; a seeded fault may say that it has none, or how long it has lain.
    """
    known = [place for place in places if "seeded" not in place]
    few = len(known) // 20
    motors = [
        {name: place.get(name) for name in NAMEPLATE}
        | {"motor": f"S{rng.randrange(10**5, 10**6)}", "motor_status": "in store"}
        for place in rng.sample(known, few)
    ]
    return motors + [_device(place, rng) for place in _each_type(places, catalogue, rng, few)]


def _each_type(places: list[dict], catalogue: dict, rng: Random, few: int) -> list[dict]:
    wanted = {}
    for place in places:
        needed = place["criticality"] == "critical" and place.get("standby") != "installed"
        gone = catalogue[place["model"]]["lifecycle"] == "withdrawn"
        if (needed or gone) and place.get("spares_in_store") != 0:
            wanted[place["model"]] = place
    bare = {place["model"] for place in places if place.get("spares_in_store") == 0}
    more = rng.sample([p for p in places if "seeded" not in p and p["model"] not in bare], few)
    return [*wanted.values(), *more]


def _device(place: dict, rng: Random) -> dict:
    stored = f"2024-0{rng.randrange(1, 10)}-1{rng.randrange(0, 10)}"
    recent = f"2026-0{rng.randrange(1, 7)}-{rng.randrange(10, 28)}"
    return {
        "device": f"S{rng.randrange(10**7, 10**8)}",
        "model": place["model"],
        "device_status": "in store",
        "made_on": "2023-02-14",
        "stored_since": stored,
        "firmware": place.get("firmware"),
        "last_powered_on": recent if place["letter"] == "D" else None,
    }
