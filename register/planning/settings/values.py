"""The value of every setting, by column: those that a start decides, and those that need none."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from register.calc.word_match import known, said
from register.planning.settings.options import LIMITED, RAMPED, Picked, drive_limit, listed

INSIDE_DELTA = 1.0 / np.sqrt(3.0)
STOP_RAMP_S = 10.0  # to begin with; lengthened until the check valve closes quietly
LATE, LATER_S = 1.25, 2.0  # start-time limit over the longest start, and at least so much longer
LIQUID = ("centrifugal pump", "deep-well pump", "slurry pump", "positive-displacement pump")
PUMPS = LIQUID[:3]

Facts = Mapping[str, Any]
Columns = dict[str, np.ndarray]


def values_of(f: Facts, picked: Picked) -> tuple[Columns, Columns]:
    """The settings of each row, and where each of them has a say."""
    values = {
        name: _words(f["start_mode"]) if name == "start_mode" else picked.values[name]
        for name in ("start_mode", *picked.values)
    }
    sought = _sought(f)
    drive = said(f["device_kind"], "drive")
    values["current_limit_xfla"] = np.where(drive, drive_limit(f), values["current_limit_xfla"])
    values |= _currents(f, picked) | _overload(f, picked) | _words_of(f)
    values["start_time_limit_s"] = start_time_limit_s(f, picked)
    values["stop_ramp_s"] = np.where(said(values["stop_mode"], "ramp", "ramp for pumps"), STOP_RAMP_S, np.nan)
    sought["stop_ramp_s"] = np.isfinite(values["stop_ramp_s"])
    return {name: _where(sought[name], values[name]) for name in sought}, sought


def _words(words: np.ndarray) -> np.ndarray:
    return np.asarray(words, object)


def _where(sought: np.ndarray, values: np.ndarray) -> np.ndarray:
    return np.where(sought, values, None if values.dtype == object else np.nan)


def _sought(f: Facts) -> Columns:
    """Where a setting has a say: with this kind of device, in this mode, at this place."""
    kind, mode, place = f["device_kind"], f["start_mode"], f["overload_place"]
    soft, drive = said(kind, "soft starter"), said(kind, "drive")
    tapped = said(kind, "autotransformer")
    device = said(f["device_overload"], "built in") & said(place, "device", "relay")
    return {
        "start_mode": soft | (drive & known(mode)),
        "current_limit_xfla": drive | (soft & (said(mode, *LIMITED) | ~known(mode))),
        "initial_voltage_pct": soft & said(mode, *RAMPED),
        "ramp_s": drive | (soft & said(mode, *RAMPED)),
        "tap_pct": tapped,
        "transition_s": tapped | said(kind, "star-delta"),
        "start_time_limit_s": soft,
        "bypass_closes_at": soft & said(f["power_path"], "internal bypass"),
        "stop_mode": soft | drive,
        "fla_set_a": soft | drive,
        "device_overload_set_a": device,
        "device_trip_class": device,
        "overload_reset": device,
        "relay_set_a": said(place, "relay"),
        "relay_reset": said(place, "relay"),
        "comms_loss_action": (soft | drive) & said(f["control_scheme"], "network", "both"),
    }


def _currents(f: Facts, picked: Picked) -> Columns:
    """Motor current and overload settings, within what each can be set to [A]."""
    motors = np.where(f["motors_on_device"] > 1, f["motors_on_device"], 1.0)
    # Where no start can be worked out, full load is still what an overload is set to.
    share = np.where(np.isfinite(picked.share), picked.share, 1.0)
    share = np.fmin(share, f["overload_set_max_a"] / f["overload_current_a"])
    # Capacitors behind the overload take current from it.
    corrected = np.where(said(f["capacitor_side"], "load side"), f["overload_corrected_max_a"], np.nan)
    share = np.fmin(share, corrected / f["overload_current_a"])
    own, relay = _ranges(f)
    return {
        "fla_set_a": _rounded(f["fla_a"] * motors),
        "device_overload_set_a": _rounded(_within(own[0] * share, *own[1:])),
        "relay_set_a": _rounded(_within(relay[0] * share, *relay[1:])),
    }


def within_range(f: Facts, share: np.ndarray) -> np.ndarray:
    """A setting, of what the overload carries at full load, within what it can be set to."""
    own, relay = (_within(carried * share, low, high) / carried for carried, low, high in _ranges(f))
    return np.select([said(f["overload_place"], "device"), said(f["overload_place"], "relay")], [own, relay], share)


def _ranges(f: Facts) -> tuple[tuple[np.ndarray, ...], ...]:
    """Of the device's own overload and of the relay: what it carries at full load, and its range [A]."""
    soft_inside = said(f["device_kind"], "soft starter") & said(f["device_connection"], "inside delta")
    own = np.where(soft_inside, INSIDE_DELTA, 1.0) * f["fla_a"]
    return (own, f["overload_min_a"], f["overload_max_a"]), (
        f["overload_current_a"],
        f["relay_min_a"],
        f["relay_max_a"],
    )


def _within(value: np.ndarray, low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """The value, or the end of the range that is nearest it."""
    return np.fmin(np.fmax(value, low), high) + 0.0 * value


def _rounded(amperes: np.ndarray) -> np.ndarray:
    """As a setting or a display has it: three figures, rounded down."""
    with np.errstate(all="ignore"):
        step = 10.0 ** (np.floor(np.log10(amperes)) - 2.0)
    return np.round(np.floor(amperes / step + 1e-6) * step, 6)


def _overload(f: Facts, picked: Picked) -> Columns:
    """Trip class of the device: the one picked, or that of the relay behind it."""
    offered = {text: listed(text) for text in set(f["trip_classes"])}
    pairs = zip(picked.trip_class, f["trip_classes"], strict=True)
    classes = [word if word in offered[text] else None for word, text in pairs]
    manual = np.full(len(classes), "manual", object)
    return {"device_trip_class": _words(classes), "overload_reset": manual, "relay_reset": manual}


def _words_of(f: Facts) -> Columns:
    """Stop, bypass and loss of the network, which the load and the process decide."""
    surge, liquid = f["surge_risk"], said(f["load_kind"], *LIQUID)
    hammers = said(surge, "yes")
    open_ = ~known(surge) & (liquid | ~known(f["load_kind"]))
    pump = said(f["device_kind"], "soft starter") & said(f["load_kind"], *PUMPS)
    stop = np.select([open_, hammers & pump, hammers], [None, "ramp for pumps", "ramp"], "coast")
    need = f["comms_loss_need"]
    return {
        "stop_mode": _words(stop),
        "bypass_closes_at": np.full(len(stop), "full speed", object),
        "comms_loss_action": np.where(said(need, "not decided"), None, need),
    }


def start_time_limit_s(f: Facts, picked: Picked) -> np.ndarray:
    """Time after which a start is given up: after the longest start, before the motor is hurt.

    Where one can't be had with the other the motor comes first, as long as the start that is likely can end.

    A motor held at the limit takes as long to reach the heat of its hot stall time as the square
    of locked-rotor current over the limit says.
    """
    limit = np.fmin(picked.figures["peak_xfla"], f["locked_rotor_ratio"])
    withstands_s = np.floor(f["hot_stall_s"] * (f["locked_rotor_ratio"] / limit) ** 2)
    longest = np.fmax(picked.figures["time_s"], picked.figures["time_long_s"])
    wanted = np.ceil(np.fmax(LATE * longest, longest + LATER_S))
    # A limit before the start is over would only trip; one too late still ends it some time.
    return np.fmax(np.fmin(wanted, withstands_s), np.ceil(picked.figures["time_s"] + 1.0)) + 0.0 * longest
