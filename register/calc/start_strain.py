"""What a start strains, with the current that each device and relay carries."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

import numpy as np

from register.calc import stress
from register.calc.seen_current import CONNECTED, PLACED, device_share, own_overload_share, sees_motor
from register.calc.start_course import March
from register.calc.word_match import said

BREAKER = ("main_breaker_pickup_a", "main_breaker_delay_s", "bus_load_a")
DUTY = ("rated_current_a", "duty_code_multiple")


class Start(Protocol):
    """Starts, of which the facts are known."""

    facts: Mapping[str, np.ndarray]


def overload(start: Start, run: March, *, warm: np.ndarray | float = 0.0) -> stress.Overload:
    """The overload relay of each start, with the current that it carries; cold, or warm from a load before."""
    facts = start.facts
    placed = {name: facts[name] for name in PLACED}
    inside = own_overload_share(**{name: placed[name] for name in ("overload_place", *CONNECTED)})
    seen = sees_motor(**{name: placed[name] for name in placed if name != "device_connection"})
    set_, carried = (np.asarray(facts[f"overload_{name}_a"], float) for name in ("set", "current"))
    return stress.overload(
        march=run,
        trip_class=facts["overload_trip_class"],
        trip_classes_table=facts["trip_classes_table"],
        set_xfla=np.where(np.isnan(seen), np.nan, set_ / (carried * inside)),
        warm=warm,
        multiple=np.where(said(facts["practice"], "us"), stress.NEMA_MULTIPLE, stress.IEC_MULTIPLE),
        in_motor=seen == 1.0,
    )


def breaker_share(start: Start, run: March) -> np.ndarray:
    """How far the main breaker's long-time element gets, the lineup's load besides; 1 is the trip."""
    fla, pickup, delay, load = (np.asarray(start.facts[n], float) for n in ("fla_a", *BREAKER))
    return stress.long_time_share(march=run, set_xfla=pickup / fla, delay_s=delay, beside_xfla=load / fla)


def motor_heat(start: Start, run: March) -> np.ndarray:
    """Heat of each start, of what the motor withstands at locked rotor."""
    ratio, hot = (np.asarray(start.facts[n], float) for n in ("locked_rotor_ratio", "hot_stall_s"))
    return stress.motor_heat(march=run, locked_rotor_ratio=ratio, hot_stall_s=hot)


def device_duty(start: Start, run: March) -> tuple[np.ndarray, np.ndarray]:
    """Each start as time at the current of the duty code [s], and its highest current in the device [×FLA]."""
    share = device_share(**{name: start.facts[name] for name in CONNECTED})
    fla, rated, multiple = (np.asarray(start.facts[n], float) for n in ("fla_a", *DUTY))
    seconds = stress.device_equivalent_s(march=run, multiple=multiple, rated_xfla=rated / (fla * share))
    return seconds, share * stress.peak_xfla(march=run)
