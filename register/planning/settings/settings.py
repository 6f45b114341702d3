"""The settings that the sheet gives for what is installed at a position, or would: one row or thousands.

A setting is the one of those tried whose start exceeds the fewest limits; of equals the gentlest.
What depends on something unknown is left unknown.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from register import columns
from register.calc.start_parts import LOAD, inertia_known
from register.calc.study import COMMON, MACHINE, all_known
from register.calc.word_match import known, said
from register.facts.standard_tables import load_tables
from register.planning.settings import options
from register.planning.settings.tried_starts import LIMITS, READS, WEIGHTS, Courses, courses, exceeded
from register.planning.settings.values import values_of
from register.rulebook.load.pack import load_pack
from register.rulebook.model import Pack
from register.rulebook.run.limit_layers import LimitLayers
from register.starts.words import CAGE

BLOCK = 80  # different starts worked out at a time
BLANK = (*options.MOVED_NUMBERS, "initial_torque_pct", "final_torque_pct")
# fmt: off
OF_THE_DEVICE = (
    "start_modes", "trip_classes", "device_overload", "overload_min_a", "overload_max_a",
    "current_limit_min_xfla", "current_limit_max_xfla", "duty_code_multiple", "duty_code_time_s",
    "rated_current_a", "power_path",
)
OF_THE_PLACE = (
    "capacitor_side", "overload_corrected_max_a", "motor_type",
    "tag", "area", "phases", "surge_risk", "fragile_load", "coupling", "load_kind", "inertia_ratio",
    "device_connection", "motors_on_device", "control_scheme", "comms_loss_need", "overload_place",
    "relay_min_a", "relay_max_a", "relay_trip_class", "lowest_limit_xfla", "lowest_limit_high_xfla",
)
# fmt: on
OF_THE_START = tuple(
    n for n in (*COMMON, "rotor_inertia_kgm2", "load_inertia_kgm2", "device_kind", *READS) if not n.endswith("_table")
)
NEEDS = tuple(dict.fromkeys((*OF_THE_DEVICE, *OF_THE_PLACE, *OF_THE_START)))


@dataclass(frozen=True)
class Settings:
    """Settings chosen for each of some rows, and what the start with them does.

    `values` are base columns, NaN or None where not chosen; `sought` tells where a column has a
    say. `figures` are those of the start, NaN where it could not be worked out; `exceeded` the
    limits that even the best setting exceeds.
    """

    values: Mapping[str, np.ndarray]
    sought: Mapping[str, np.ndarray]
    figures: Mapping[str, np.ndarray]
    exceeded: Mapping[str, np.ndarray]

    def at(self, row: int) -> dict[str, Any]:
        """The settings chosen for one row, by base column."""
        found = {name: column[row] for name, column in self.values.items()}
        return {name: _plain(v) for name, v in found.items() if v is not None and v == v}

    def unknown(self, row: int) -> tuple[str, ...]:
        """The settings that this row has, and that could not be chosen."""
        there = self.at(row)
        return tuple(n for n, sought in self.sought.items() if sought[row] and n not in there)

    def exceeds(self, row: int) -> tuple[str, ...]:
        """The limits that the row's best setting exceeds, the worst first."""
        return tuple(name for name in WEIGHTS if self.exceeded[name][row])


def _plain(value: Any) -> Any:
    return float(value) if isinstance(value, float) else str(value)


def chosen(facts: Mapping[str, Any], *, pack: Pack | None = None) -> Settings:
    """The settings to give, for each row of facts.

    Parameters
    ----------
    facts : the columns `NEEDS`, each an array or a list of one length; None or NaN is unknown.
        Settings that the rows may have already are left aside.
    pack : whose limits hold; without, the pack that comes with the program.
    """
    f = _arrays(facts, pack or _pack())
    rows = len(f["tag"])
    f["start_mode"] = options.start_mode(f)
    initial, ramp = options.begins(f)
    ramped = said(f["start_mode"], *options.RAMPED)
    f["initial_voltage_pct"] = np.where(ramped, initial, np.nan)
    f["ramp_s"] = np.where(said(f["start_mode"], "limited ramp"), ramp, np.nan)
    f |= _overload_choices(f)
    picked = options.Picked.none(rows, WEIGHTS)
    ready = np.flatnonzero(_ready(f))
    for made, at, own in _in_blocks(f, ready):
        _pick(picked, made, at, own, _taken(f, own))
    values, sought = values_of(f, picked)
    return Settings(values, sought, picked.figures, picked.exceeded)


@cache
def _pack() -> Pack:
    return load_pack()


def _arrays(facts: Mapping[str, Any], pack: Pack) -> dict[str, Any]:
    f: dict[str, Any] = {}
    for name in NEEDS:
        if columns.FACTS[name].is_number:
            f[name] = np.array(facts[name], dtype=float)
        else:
            f[name] = np.array([None if v is None or v != v else v for v in facts[name]], object)
    rows = len(f["tag"])
    blank = {name: np.full(rows, np.nan) for name in BLANK}
    laid = LimitLayers(pack, LIMITS)
    limits = {f":{name}": _laid(laid, name, f) for name in LIMITS}
    return f | blank | limits | {"trip_classes_table": load_tables()["trip-classes"]}


def _laid(laid: LimitLayers, name: str, f: Mapping[str, Any]) -> np.ndarray:
    """A limit as it holds at each row."""
    places = list(zip(f["tag"], f["area"], strict=True))
    told = {place: laid.told(name, *place)[0] for place in set(places)}
    return np.array([told[place] for place in places], float)


def _ready(f: Mapping[str, Any]) -> np.ndarray:
    """Where all is known that a start by the device depends on."""
    ready = all_known(f, (*MACHINE, inertia_known)) & (f["phases"] == 3) & known(f["device_kind"])
    ready &= np.isin(f["motor_type"].astype(str), [str(kind) for kind in CAGE])
    soft = said(f["device_kind"], "soft starter")
    return ready & (~soft | (known(f["start_mode"]) & np.isfinite(f["lowest_limit_xfla"])))


def _overload_choices(f: Mapping[str, Any]) -> dict[str, np.ndarray]:
    """Which trip classes and shares each row's overload can be set to, and whether it has one."""
    classes = tuple(map(str, f["trip_classes_table"].columns["trip_class"]))
    in_device = said(f["overload_place"], "device") & said(f["device_overload"], "built in")
    relay = said(f["overload_place"], "relay")
    text = np.where(relay, f["relay_trip_class"], f["trip_classes"])
    offered = {word: [c in options.listed(word) for c in classes] for word in set(text)}
    can = np.array([offered[word] for word in text], bool).reshape(-1, len(classes))
    raised = np.isfinite(f["overload_set_max_a"]) & said(f["practice"], "us")
    has = (in_device | relay) & can.any(axis=1)
    return {"has_overload": has, "can_set": np.hstack([can, can & raised[:, None]])}


def _taken(f: Mapping[str, Any], rows: np.ndarray) -> dict[str, Any]:
    return {n: v[rows] if isinstance(v, np.ndarray) else v for n, v in f.items()}


def _in_blocks(f: Mapping[str, Any], ready: np.ndarray) -> Iterator[tuple[Courses, np.ndarray, np.ndarray]]:
    """The courses of the starts that differ, the place of each row among them, and the rows."""
    names = (
        *OF_THE_START,
        *LOAD,
        *options.MOVED,
        "duty_code_time_s",
        "lowest_limit_xfla",
        "lowest_limit_high_xfla",
        ":limit_margin",
    )
    limits = _drive_limits(f)
    keys = zip(
        *([repr(v) for v in f[n][ready].tolist()] for n in dict.fromkeys(names)), limits[ready].tolist(), strict=True
    )
    places: dict[tuple, int] = {}
    at = np.array([places.setdefault(key, len(places)) for key in keys], int)
    first = np.unique(at, return_index=True)[1]
    for begin in range(0, len(first), BLOCK):
        block = first[begin : begin + BLOCK]
        own = np.flatnonzero((at >= begin) & (at < begin + BLOCK))
        yield courses(_taken(f, ready[block])), at[own] - begin, ready[own]


def _drive_limits(f: Mapping[str, Any]) -> np.ndarray:
    """The current limit of drives, 0 elsewhere: a start by a drive depends on it."""
    return np.nan_to_num(np.where(said(f["device_kind"], "drive"), options.drive_limit(f), 0.0))


def _pick(picked: options.Picked, made: Courses, at: np.ndarray, own: np.ndarray, f: Mapping[str, Any]) -> None:
    """Choose for the rows `own`, whose starts lie `at` those places of the courses made."""
    over = exceeded(f, made, at)
    cost = sum(weight * over[name] for name, weight in WEIGHTS.items())
    gentle = np.where(made.figures["tapped"], np.round(made.figures["peak_xfla"], 1), 0.0)[at]
    flat = (cost + 0.001 * gentle[..., None]).reshape(len(at), -1)
    best, setting = np.divmod(np.argmin(flat, axis=1), cost.shape[-1])
    row = np.arange(len(at))
    for name, values in picked.values.items():
        values[own] = made.columns[name][at, best]
    for name, values in picked.figures.items():
        values[own] = made.figures[name][at, best]
    for name, where in over.items():
        picked.exceeded[name][own] = np.broadcast_to(where, cost.shape)[row, best, setting]
    classes = np.array(made.classes * 2, object)
    picked.trip_class[own] = np.where(f["has_overload"], classes[setting], None)
    picked.share[own] = np.where(f["has_overload"], made.shares[at, setting // len(made.classes)], np.nan)
