"""The values to which a device could be set: the steps of each setting, and those tried for a start."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from register.calc.study import as_facts
from register.calc.word_match import said

TRIED = 24  # settings of a device that are tried
STEP_XFLA = 0.05  # to which a current limit is rounded up
LEAST_LIMIT_XFLA, MOST_LIMIT_XFLA = 1.5, 8.0  # common practice, where the device's range is unknown
LEAST_VOLTAGE_PCT = 30.0  # at which a ramp begins, though less would break the load away
BREAKAWAY_SHARE = 1.1  # torque at which a ramp begins, over what the load asks to break away
GENTLE_S, SHORT_S = 10.0, 5.0  # ramps for a load that minds a jerk, and for one that does not
# From where to where a search goes; and the steps in which such things are set where their maker
# says nothing finer (common practice).
RAMP_S, DRIVE_RAMP_S, RAMP_STEPS_S = (2.0, 30.0), (10.0, 60.0), (2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 60.0)
TRANSITION_S, TRANSITION_STEPS_S = (2.0, 30.0), (3.0, 5.0, 8.0, 10.0, 15.0, 20.0, 30.0)
VOLTAGE_STEPS_PCT = (30.0, 40.0, 50.0, 60.0, 70.0)
TAPS_PCT = (50.0, 65.0, 80.0)
INITIAL_TORQUE_STEPS_PCT, FINAL_TORQUE_STEPS_PCT = (10.0, 20.0, 40.0), (80.0, 100.0, 120.0, 150.0)
DRIVE_LIMIT_XFLA = 1.5
LIMITED = ("current limit", "limited ramp")
RAMPED = ("voltage ramp", "limited ramp")
MOVED_NUMBERS = ("current_limit_xfla", "initial_voltage_pct", "ramp_s", "tap_pct", "transition_s")
MOVED = ("start_mode", *MOVED_NUMBERS)
FIGURES = ("time_s", "time_long_s", "peak_xfla", "dip_pct", "heat_pct")

Facts = Mapping[str, Any]


@dataclass(frozen=True)
class Picked:
    """The best setting of each row, what its start does, and the limits that it exceeds.

    `share` is what the overload is set to, of the current that it carries at full load.
    """

    values: dict[str, np.ndarray]
    figures: dict[str, np.ndarray]
    exceeded: dict[str, np.ndarray]
    trip_class: np.ndarray
    share: np.ndarray

    @classmethod
    def none(cls, rows: int, limits: Iterable[str]) -> Picked:
        """Nothing picked yet."""
        return cls(
            {name: np.full(rows, np.nan) for name in MOVED_NUMBERS},
            {name: np.full(rows, np.nan) for name in FIGURES},
            {name: np.zeros(rows, bool) for name in limits},
            np.full(rows, None, object),
            np.full(rows, np.nan),
        )


def start_mode(f: Facts) -> np.ndarray:
    """The mode in which a device should start its motor, of those that it offers; None where unknown.

    A soft starter holds a limit of current wherever it can, and opens it by a ramp where a jerk
    hurts; a timed ramp alone is for devices that have nothing else.
    """
    gentle = said(f["surge_risk"], "yes") | said(f["fragile_load"], "yes")
    gentle |= said(f["coupling"], "belt")
    first = np.where(gentle, "limited ramp", "current limit")
    then = np.where(gentle, "current limit", "limited ramp")
    limits = np.isfinite(f["current_limit_min_xfla"]) | np.isfinite(f["current_limit_max_xfla"])
    soft = said(f["device_kind"], "soft starter")
    found = np.full(len(soft), None, object)
    for row in np.flatnonzero(soft | said(f["device_kind"], "drive")):
        offered = listed(f["start_modes"][row])
        wanted = (first[row], then[row], "voltage ramp") if soft[row] else ("direct",)
        found[row] = next((str(mode) for mode in wanted if mode in offered), None)
        if soft[row] and not offered and limits[row]:
            found[row] = "current limit"
    return found


def listed(text: str | None) -> tuple[str, ...]:
    """The words of a list that a catalogue separates by commas."""
    return tuple(word.strip() for word in (text or "").split(",") if word.strip())


def begins(f: Facts) -> tuple[np.ndarray, np.ndarray]:
    """Voltage at which a ramp begins so that the load breaks away at once, and the ramp's time."""
    asked = BREAKAWAY_SHARE * f["load_breakaway_pct"] / f["locked_rotor_torque_pct"]
    initial = np.clip(5.0 * np.ceil(20.0 * np.sqrt(asked)), LEAST_VOLTAGE_PCT, 100.0)
    gentle = said(f["surge_risk"], "yes") | said(f["fragile_load"], "yes")
    return initial, np.fmin(np.where(gentle, GENTLE_S, SHORT_S), np.floor(f["duty_code_time_s"]))


def lowest(f: Facts, margin: np.ndarray) -> np.ndarray:
    """Least current limit to set: above the lowest that starts, and above its band [×FLA]."""
    band = f["lowest_limit_high_xfla"] + STEP_XFLA
    return step_up(np.fmax(margin * f["lowest_limit_xfla"], band))


def limits(f: Facts, margin: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Least and greatest current limit to try, of those that the device can be set to [×FLA].

    One that can't be set as high as `lowest`, but two steps above what starts, is set as high as it goes. Where that
    does not start the load, what would is tried all the same.
    """
    first = np.fmax(lowest(f, margin), step_up(f["current_limit_min_xfla"]))
    most = np.fmax(np.fmin(f["locked_rotor_ratio"], MOST_LIMIT_XFLA), first)
    top = np.floor(f["current_limit_max_xfla"] / STEP_XFLA + 1e-6) * STEP_XFLA
    top = np.where(top > f["lowest_limit_xfla"] + 2.0 * STEP_XFLA, top, np.nan)
    return np.fmin(first, top), np.fmin(most, top)


def step_up(limit: Any) -> Any:
    """The next step at which a current limit can be set, or the limit itself where it is one [×FLA]."""
    return np.ceil(limit / STEP_XFLA - 1e-6) * STEP_XFLA


def tried(f: Facts, margin: np.ndarray) -> dict[str, np.ndarray]:
    """The settings to try: columns of as many rows as there are starts, TRIED in each.

    `f` has the chosen start_mode, and where it ramps the initial voltage and the ramp.
    """
    rows = len(f["fla_a"])
    columns = {name: np.repeat(f[name][:, None], TRIED, axis=1) for name in MOVED}
    kind, mode = f["device_kind"], f["start_mode"]

    def over(where: np.ndarray, name: str, low: Any, high: Any) -> None:
        at = np.flatnonzero(where)
        low, high = (np.broadcast_to(end, rows)[at] for end in (low, high))
        columns[name][at] = np.linspace(low, high, TRIED, axis=1)

    soft, drive = said(kind, "soft starter"), said(kind, "drive")
    over(soft & said(mode, *LIMITED), "current_limit_xfla", *limits(f, margin))
    over(
        soft & said(mode, "voltage ramp"),
        "ramp_s",
        RAMP_S[0],
        np.fmax(np.fmin(RAMP_S[1], np.floor(f["duty_code_time_s"])), RAMP_S[0]),
    )
    over(drive, "ramp_s", *DRIVE_RAMP_S)
    over(drive, "current_limit_xfla", *(drive_limit(f),) * 2)
    over(said(kind, "star-delta", "autotransformer"), "transition_s", *TRANSITION_S)
    tapped = said(kind, "autotransformer")
    columns["tap_pct"][tapped] = np.repeat(TAPS_PCT, TRIED // len(TAPS_PCT))
    columns["transition_s"][tapped] = np.tile(np.linspace(*TRANSITION_S, TRIED // len(TAPS_PCT)), len(TAPS_PCT))
    columns["current_limit_xfla"][soft] = step_up(columns["current_limit_xfla"][soft]).round(2)
    for name in ("ramp_s", "transition_s"):
        columns[name] = np.round(columns[name])
    return columns


def tried_before(columns: Mapping[str, np.ndarray]) -> np.ndarray:
    """Where all settings are those of an earlier column of the same row, as with a device that has none to set."""
    each = [np.unique(values.astype(str), return_inverse=True)[1] for values in columns.values()]
    codes = np.stack([numbers.reshape(columns["ramp_s"].shape) for numbers in each])
    same = (codes[:, :, :, None] == codes[:, :, None, :]).all(axis=0)
    return np.tril(same, -1).any(axis=2)


def drive_limit(f: Facts) -> np.ndarray:
    """Current limit for a drive, within its range [×FLA]."""
    return np.fmin(np.fmax(DRIVE_LIMIT_XFLA, f["current_limit_min_xfla"]), f["current_limit_max_xfla"])


def laid_out(f: Facts, columns: Mapping[str, np.ndarray]) -> dict[str, Any]:
    """The facts of every start with every setting tried, one after the other."""
    many = columns["ramp_s"].shape[1]
    asked = {name: v for name, v in f.items() if name.endswith("_table") or v.ndim == 1}
    flat = {name: np.repeat(v, many) if isinstance(v, np.ndarray) else v for name, v in asked.items()}
    return as_facts(flat | {name: values.ravel() for name, values in columns.items()})
