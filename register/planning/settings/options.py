"""The ways in which a device could be set: for each start, several settings that are tried."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from register.calc.study import as_facts
from register.calc.word_match import said

TRIED = 24  # settings of a device that are tried
STEP = 0.05  # ×FLA, to which a current limit is rounded up
HIGHEST_XFLA = 8.0  # beyond which no soft starter limits
LEAST_VOLTAGE_PCT = 30.0  # at which a ramp begins, though less would break the load away
BREAKAWAY_SHARE = 1.1  # torque at which a ramp begins, over what the load asks to break away
GENTLE_S, SHORT_S = 10.0, 5.0  # ramps for a load that minds a jerk, and for one that does not
RAMP_S = (2.0, 30.0)
DRIVE_RAMP_S = (10.0, 60.0)
TRANSITION_S = (2.0, 30.0)
TAPS_PCT = (50.0, 65.0, 80.0)
DRIVE_LIMIT_XFLA = 1.5
LIMITED = ("current limit", "limited ramp")
RAMPED = ("voltage ramp", "limited ramp")
MOVED = ("start_mode", "current_limit_xfla", "initial_voltage_pct", "ramp_s", "tap_pct", "transition_s")

Facts = Mapping[str, Any]


def start_mode(f: Facts) -> np.ndarray:
    """How a device should start its motor, of the modes that it has; None where unknown.

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
    """The words of a list, which a catalogue separates by commas."""
    return tuple(word.strip() for word in (text or "").split(",") if word.strip())


def begins(f: Facts) -> tuple[np.ndarray, np.ndarray]:
    """Voltage at which a ramp begins so that the load breaks away at once, and the ramp's time."""
    asked = BREAKAWAY_SHARE * f["load_breakaway_pct"] / f["locked_rotor_torque_pct"]
    initial = np.clip(5.0 * np.ceil(20.0 * np.sqrt(asked)), LEAST_VOLTAGE_PCT, 100.0)
    gentle = said(f["surge_risk"], "yes") | said(f["fragile_load"], "yes")
    return initial, np.fmin(np.where(gentle, GENTLE_S, SHORT_S), np.floor(f["duty_code_time_s"]))


def lowest(f: Facts, margin: np.ndarray) -> np.ndarray:
    """Least current limit to set: above the lowest that starts, and above its band [×FLA]."""
    band = f["lowest_limit_high_xfla"] + STEP
    return _up(np.fmax(margin * f["lowest_limit_xfla"], band))


def _up(limit: np.ndarray) -> np.ndarray:
    return np.ceil(limit / STEP - 1e-6) * STEP


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
    first = lowest(f, margin)
    most = np.fmax(np.fmin(f["locked_rotor_ratio"], HIGHEST_XFLA), first)
    over(soft & said(mode, *LIMITED), "current_limit_xfla", first, most)
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
    columns["current_limit_xfla"][soft] = _up(columns["current_limit_xfla"][soft]).round(2)
    for name in ("ramp_s", "transition_s"):
        columns[name] = np.round(columns[name])
    return columns


def drive_limit(f: Facts) -> np.ndarray:
    """Current limit for a drive, within its range [×FLA]."""
    return np.fmin(np.fmax(DRIVE_LIMIT_XFLA, f["current_limit_min_xfla"]), f["current_limit_max_xfla"])


def laid_out(f: Facts, columns: Mapping[str, np.ndarray]) -> dict[str, Any]:
    """The facts of every start with every setting tried, one after the other."""
    asked = {name: v for name, v in f.items() if name.endswith("_table") or v.ndim == 1}
    flat = {name: np.repeat(v, TRIED) if isinstance(v, np.ndarray) else v for name, v in asked.items()}
    return as_facts(flat | {name: values.ravel() for name, values in columns.items()})
