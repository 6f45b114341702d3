"""The settings that the sheet gives for what is installed at a position, or would: one row or thousands.

A setting is the one of those tried whose start exceeds the fewest limits; of equals the gentlest.
What depends on something unknown is left unknown.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
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

BLOCK = 2_000  # starts worked out at a time
# The settings are tried in these rounds; once one exceeds no limit, those that follow cannot be chosen.
ROUNDS = (0, 1, 5, 12, options.TRIED)
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
    _search(f, np.flatnonzero(_ready(f)), picked)
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


def _search(f: Mapping[str, Any], ready: np.ndarray, picked: options.Picked) -> None:
    """Choose for the rows that are ready: the first of the settings tried whose start exceeds the least."""
    at = _alike(f, ready)
    first = ready[np.unique(at, return_index=True)[1]]
    columns = options.tried(_taken(f, first), f[":limit_margin"][first])
    new = ~options.tried_before(columns)
    least = np.full(len(f["tag"]), np.inf)
    for begin, end in pairwise(ROUNDS):
        going = (least[ready] != 0.0) & new[at, begin:end].any(axis=1)
        starts = np.unique(at[going])
        size = BLOCK // (end - begin)
        for block in (starts[i : i + size] for i in range(0, len(starts), size)):
            made = courses(_taken(f, first[block]), {name: v[block, begin:end] for name, v in columns.items()})
            rows = np.flatnonzero(going & np.isin(at, block))
            _pick(picked, least, made, np.searchsorted(block, at[rows]), ready[rows], _taken(f, ready[rows]))


def _alike(f: Mapping[str, Any], ready: np.ndarray) -> np.ndarray:
    """A number for each row that is ready, the same for rows whose starts are the same."""
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
    return np.array([places.setdefault(key, len(places)) for key in keys], int)


def _drive_limits(f: Mapping[str, Any]) -> np.ndarray:
    """The current limit of drives, 0 elsewhere: a start by a drive depends on it."""
    return np.nan_to_num(np.where(said(f["device_kind"], "drive"), options.drive_limit(f), 0.0))


def _pick(
    picked: options.Picked, least: np.ndarray, made: Courses, at: np.ndarray, own: np.ndarray, f: Mapping[str, Any]
) -> None:
    """Choose for the rows `own`, whose starts lie `at` those places of the courses made, what exceeds less than before.

    `least` is what each row's choice exceeds, weighed; of a start that could not be worked out it is not known, and
    none is sought beyond it.
    """
    over = exceeded(f, made, at)
    cost = sum(weight * over[name] for name, weight in WEIGHTS.items())
    gentle = np.where(made.figures["tapped"], np.round(made.figures["peak_xfla"], 1), 0.0)[at]
    flat = (cost + 0.001 * gentle[..., None]).reshape(len(at), -1)
    place = np.argmin(flat, axis=1)
    now, before = flat[np.arange(len(at)), place], least[own]
    row = np.flatnonzero((now < before) | (np.isnan(now) & ~np.isnan(before)))
    own, at, (best, setting) = own[row], at[row], np.divmod(place[row], cost.shape[-1])
    least[own] = now[row]
    for name, values in picked.values.items():
        values[own] = made.columns[name][at, best]
    for name, values in picked.figures.items():
        values[own] = made.figures[name][at, best]
    for name, where in over.items():
        picked.exceeded[name][own] = np.broadcast_to(where, cost.shape)[row, best, setting]
    classes = np.array(made.classes * 2, object)
    has = f["has_overload"][row]
    picked.trip_class[own] = np.where(has, classes[setting], None)
    picked.share[own] = np.where(has, made.shares[at, setting // len(made.classes)], np.nan)
