"""Which of a start's currents each device and relay carries: the line's, the motor's, or that of one winding."""

from __future__ import annotations

import numpy as np

from register.calc.several_results import part
from register.calc.word_match import known, said

WINDING = 1.0 / np.sqrt(3.0)  # of the line's current, inside a delta (arithmetic)
CONNECTED = ("device_kind", "device_connection")
PLACED = (*CONNECTED, "overload_place", "relay_leg", "relay_side")


def device_share(*, device_kind: np.ndarray, device_connection: np.ndarray) -> np.ndarray:
    """Current in the device, of the line's: that of a winding inside the motor's delta; NaN where unknown."""
    soft = said(device_kind, "soft starter")
    in_line = known(device_kind) & (~soft | said(device_connection, "in line"))
    return np.where(soft & said(device_connection, "inside delta"), WINDING, np.where(in_line, 1.0, np.nan))


def own_overload_share(
    *, overload_place: np.ndarray, device_kind: np.ndarray, device_connection: np.ndarray
) -> np.ndarray:
    """Current in the overload, of what it would carry in the line: less in a device inside the delta."""
    share = device_share(device_kind=device_kind, device_connection=device_connection)
    return np.where(said(overload_place, "device"), share, np.where(known(overload_place), 1.0, np.nan))


def sees_motor(
    *, overload_place: np.ndarray, device_kind: np.ndarray, relay_leg: np.ndarray, relay_side: np.ndarray
) -> np.ndarray:
    """1 where the overload's current goes with the motor's, 0 with the line's, NaN where that is unknown.

    A drive's overload counts what it gives the motor. A relay in a phase of a star-delta starter carries the winding's
    current in star as in delta; one at the motor of an autotransformer what the tap lets through.
    """
    relay, place = said(overload_place, "relay"), known(overload_place)
    sides = (
        (said(device_kind, "drive") & place, 1.0),
        (said(device_kind, "star-delta") & relay, _either(relay_leg, "phase", "line")),
        (said(device_kind, "autotransformer") & relay, _either(relay_side, "motor", "line")),
    )
    found = np.where(known(device_kind) & place, 0.0, np.nan)
    for here, seen in sides:
        found = np.where(here, seen, found)
    return found


def _either(words: np.ndarray, one: str, other: str) -> np.ndarray:
    return np.where(said(words, one), 1.0, np.where(said(words, other), 0.0, np.nan))


@part(*CONNECTED)
def device_share_known(**facts: np.ndarray) -> np.ndarray:
    """The share of the line's current in the device."""
    return device_share(**facts)


@part(*PLACED)
def overload_sight_known(**facts: np.ndarray) -> np.ndarray:
    """1 where it is known which current the overload carries."""
    alone = {name: facts[name] for name in ("overload_place", *CONNECTED)}
    rest = {name: values for name, values in facts.items() if name != "device_connection"}
    return np.where(np.isnan(sees_motor(**rest) + own_overload_share(**alone)), np.nan, 1.0)
