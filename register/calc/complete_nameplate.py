"""A nameplate made complete: what was taken from where, and how sure the study can be of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from register.calc.circuit import HIGHEST_POWER_FACTOR, full_load_power_factor
from register.calc.machine import Curve, Machine, Plate
from register.calc.maker_curve import curve_of
from register.calc.nameplate import power_hp
from register.calc.several_results import bundle, each
from register.calc.standard_table import Table
from register.calc.word_match import known, said

NEMA_DESIGNS = ("A", "B", "C", "D")
IEC_DESIGNS = ("N", "NY", "NE", "H", "HY", "HE")
ESSENTIAL = ("phases", "power_kw", "motor_voltage_v", "motor_frequency_hz", "speed_rpm")
# Where a value that is still blank can be read, besides its own field.
READ_ALSO = {
    "locked_rotor_ratio": "locked_rotor_ratio, code_letter",
    "locked_rotor_torque_pct": "locked_rotor_torque_pct, design_letter",
    "breakdown_torque_pct": "breakdown_torque_pct, design_letter",
}
SAME_SIZE = 0.98  # of a table's row; 15 kW is a motor of 20 hp
TOO_LITTLE = "too little is known"
MAKERS = "the maker's curves"
CODE_LETTER = "NEMA MG 1, 10.37.2, code letter"


@dataclass(frozen=True)
class Completed:
    """A nameplate without blanks, as far as that goes.

    `certainty` is A with the maker's curves, B with a complete nameplate, C where a torque or the
    locked-rotor current is that of a standard, D where current or efficiency is, X where there is
    no study; then `why` says the reason and `read` the fields to look at. `taken` tells of each
    column where a value came from, None where it was entered.
    """

    plate: Plate
    certainty: np.ndarray
    why: np.ndarray
    read: np.ndarray
    taken: Mapping[str, np.ndarray]


def complete(
    *,
    plate: Plate,
    phases: np.ndarray,
    practice: np.ndarray,
    design_letter: np.ndarray,
    code_letter: np.ndarray,
    tables: Mapping[str, Table],
    curves: Sequence[Curve | None] | None = None,
    lower_end: bool = False,
) -> Completed:
    """Fill the blanks of nameplates from what is entered and from the standards.

    Parameters
    ----------
    plate : the nameplates as entered
    phases : 3, or 1
    practice : body of practice, us or iec; decides where there is no design letter
    design_letter : of NEMA MG 1 or IEC 60034-12
    code_letter : locked-rotor code letter
    tables : tables of the standards by name
    curves : the maker's curves, None for motors without
    lower_end : whether a code letter stands for the lower end of its band instead of the upper

    Notes
    -----
    Least torques of the standards make a start slow; most of the locked-rotor current makes the
    dip deep. A motor between two sizes of a table gets the torque of the larger one.

    References
    ----------
    NEMA MG 1, 12.35, 12.38, 12.39, 20.10; NEMA MG 10, Table 2-1; IEC 60034-12; NFPA 70, Table
    430.250.
    """
    blanks = _Blanks(plate, phases, practice, design_letter, code_letter)
    with np.errstate(all="ignore"):
        if curves is not None:
            _from_curves(blanks, curves)
        _ratings(blanks, tables)
        _locked_rotor_current(blanks, tables, lower_end)
        _nema_torques(blanks, tables)
        _iec_torques(blanks, tables)
        return _graded(blanks)


def settled(*, completed: Completed, machine: Machine) -> Completed:
    """The same, with certainty X where the nameplate leads to no circuit, and why."""
    plate = completed.plate
    with np.errstate(all="ignore"):
        slip = 1.0 - plate.speed_rpm * plate.poles / (120.0 * plate.motor_frequency_hz)
        factor = full_load_power_factor(plate)
    reasons = (
        (slip <= 0.0, "the rated speed is not below synchronous speed", "speed_rpm, poles, motor_frequency_hz"),
        (
            factor > HIGHEST_POWER_FACTOR,
            "power, voltage, current and efficiency ask for a power factor above 0.99",
            "fla_a, power_kw, motor_voltage_v, efficiency_pct",
        ),
        (
            plate.efficiency_pct / 100.0 >= 1.0 - slip,
            "the slip alone loses more than the efficiency allows",
            "efficiency_pct, speed_rpm",
        ),
        (
            ~machine.ok,
            "no motor has this locked-rotor current and these torques together",
            "locked_rotor_ratio, locked_rotor_torque_pct, breakdown_torque_pct",
        ),
    )
    certainty, why, read = (a.copy() for a in (completed.certainty, completed.why, completed.read))
    for found, reason, look_at in reasons:
        first = ~machine.ok & found & (certainty != "X")
        certainty[first], why[first], read[first] = "X", reason, look_at
    return replace(completed, certainty=certainty, why=why, read=read)


class _Blanks:
    """The nameplates while their blanks are filled, and from what."""

    def __init__(self, plate: Plate, *others: np.ndarray) -> None:
        names = [f.name for f in fields(Plate)]
        columns = [np.asarray(getattr(plate, name), float) for name in names]
        words = [np.asarray(column, object) for column in others[1:]]
        phases = np.asarray(others[0], float)
        arrays = np.broadcast_arrays(*map(np.atleast_1d, (*columns, phases, *words)))
        self.values = {n: np.array(a, float) for n, a in zip(names, arrays, strict=False)}
        self.phases, self.practice, self.design, self.code = arrays[len(names) :]
        self.curved = np.zeros(arrays[0].shape, bool)
        self.taken = {name: np.full(arrays[0].shape, None, object) for name in names}

    def __getitem__(self, name: str) -> np.ndarray:
        return self.values[name]

    def offer(self, name: str, values: np.ndarray, source: str) -> None:
        """Take these values, if they are finite, where there is none yet."""
        fits = np.isnan(self.values[name]) & np.isfinite(values)
        self.values[name] = np.where(fits, values, self.values[name])
        self.taken[name][fits] = source

    @property
    def hp(self) -> np.ndarray:
        return power_hp(power_kw=self["power_kw"])

    @property
    def amperes_per_kva(self) -> np.ndarray:
        return 1000.0 / (np.sqrt(3.0) * self["motor_voltage_v"])

    def follows(self, designs: tuple[str, ...], practice: str) -> np.ndarray:
        """Whose design is one of these, or unknown where the practice is this one."""
        return said(self.design, *designs) | (~known(self.design) & said(self.practice, practice))


def _from_curves(blanks: _Blanks, curves: Sequence[Curve | None]) -> None:
    values = np.full((3, len(curves)), np.nan)
    for motor, curve in enumerate(curves):
        if curve is not None:
            top = np.max(curve.torque_pct)
            values[:, motor] = curve.current_xfla[0], curve.torque_pct[0], top
    blanks.curved |= ~np.isnan(values[0])
    names = ("locked_rotor_ratio", "locked_rotor_torque_pct", "breakdown_torque_pct")
    for name, column in zip(names, values, strict=True):
        blanks.offer(name, column, MAKERS)


def _ratings(blanks: _Blanks, tables: Mapping[str, Table]) -> None:
    """Poles, current and efficiency; the power factor follows from them."""
    turns = 60.0 * blanks["motor_frequency_hz"] / blanks["speed_rpm"]
    blanks.offer("poles", 2.0 * np.floor(turns), "frequency and speed")
    kva = blanks["power_kw"] / (blanks["efficiency_pct"] / 100.0 * blanks["power_factor"])
    blanks.offer("fla_a", kva * blanks.amperes_per_kva, "power, efficiency and power factor")
    current = tables["full-load-current"].columns
    for column, volts, used in (("at_460_v", 460.0, (0, 1000)), ("at_2300_v", 2300.0, (1000, 7500))):
        here = (used[0] < blanks["motor_voltage_v"]) & (blanks["motor_voltage_v"] <= used[1])
        amperes = _between(current["power_hp"], current[column], blanks.hp)
        amperes = np.where(here, amperes * volts / blanks["motor_voltage_v"], np.nan)
        blanks.offer("fla_a", amperes, "NFPA 70, Table 430.250, inversely with voltage")
    share = blanks["power_kw"] / blanks["fla_a"] * blanks.amperes_per_kva
    blanks.offer("efficiency_pct", 100.0 * share / blanks["power_factor"], "power and power factor")
    efficiency = tables["energy-efficient"]
    usual = _larger_size(efficiency, "enclosed_{}_pole", blanks.hp, blanks["poles"], carry_on=True)
    blanks.offer("efficiency_pct", usual, "NEMA MG 1, Table 12-11")
    blanks.offer("power_factor", 100.0 * share / blanks["efficiency_pct"], "power and efficiency")


def _locked_rotor_current(blanks: _Blanks, tables: Mapping[str, Table], lower: bool) -> None:
    per_kva = blanks.amperes_per_kva / blanks["fla_a"]
    bands = tables["code-letters"]
    rows = bands.of("code_letter", blanks.code)
    low, high = bands.at(rows, "from_kva_per_hp"), bands.at(rows, "below_kva_per_hp")
    band = low if lower else np.where(np.isinf(high), low, high)
    blanks.offer("locked_rotor_ratio", band * blanks.hp * per_kva, CODE_LETTER)

    most = tables["locked-rotor-current"].columns
    sizes, kva = most["power_hp"], np.sqrt(3.0) * 460.0 * most["at_460_v"] / 1000.0
    per_hp = _between(sizes, kva / sizes, blanks.hp.clip(sizes[0], sizes[-1]))
    per_hp = np.where(blanks.follows(("B", "C", "D"), "us"), per_hp, np.nan)
    blanks.offer("locked_rotor_ratio", per_hp * blanks.hp * per_kva, "NEMA MG 1, 12.35")

    most = tables["design-n-apparent-power"]
    per_kw = most.at(_range_of(most, blanks["power_kw"]), "locked_rotor_kva_per_kw")
    per_kw = np.where(blanks.follows(IEC_DESIGNS, "iec"), per_kw, np.nan)
    blanks.offer("locked_rotor_ratio", per_kw * blanks["power_kw"] * per_kva, "IEC 60034-12")


def _nema_torques(blanks: _Blanks, tables: Mapping[str, Table]) -> None:
    other = tables["other-design-torque"]
    for name, stem, clause in (
        ("locked_rotor_torque_pct", "locked-rotor-torque", "NEMA MG 1, 12.38"),
        ("breakdown_torque_pct", "breakdown-torque", "NEMA MG 1, 12.39"),
    ):
        column = stem.replace("-torque", "_pct").replace("-", "_")
        rows = other.of("design", np.where(said(blanks.design, "C", "D"), blanks.design, None))
        blanks.offer(name, other.at(rows, column), "NEMA MG 10, Table 2-1")
        least = _larger_size(tables[stem], "{}_pole", blanks.hp, blanks["poles"])
        ours = blanks.follows(("A", "B"), "us")
        blanks.offer(name, np.where(ours, least, np.nan), clause)
        large = other.at(other.of("design", np.full(least.shape, "large", object)), column)
        sized = ours & (blanks.hp > 0) & (blanks["poles"] > 0)
        blanks.offer(name, np.where(sized, large, np.nan), "NEMA MG 1, 20.10")


def _iec_torques(blanks: _Blanks, tables: Mapping[str, Table]) -> None:
    """Design N's; design H and the designs for star-delta promise no less."""
    torques = tables["design-n-torque"]
    ours = blanks.follows(IEC_DESIGNS, "iec")
    rows = np.where(ours, _range_of(torques, blanks["power_kw"]), -1)
    for name, stem in (("locked_rotor_torque_pct", "locked_rotor"), ("breakdown_torque_pct", "breakdown")):
        columns = {float(poles): f"{stem}_{poles}_pole" for poles in (2, 4, 6, 8)}
        blanks.offer(name, torques.among(rows, columns, blanks["poles"]), "IEC 60034-12, design N")


def _graded(blanks: _Blanks) -> Completed:
    def from_table(name: str, *, but: tuple[str, ...] = ()) -> np.ndarray:
        return known(blanks.taken[name]) & ~said(blanks.taken[name], *but, MAKERS)

    torques = ("locked_rotor_ratio", "locked_rotor_torque_pct", "breakdown_torque_pct")
    certainty = np.full(blanks["power_kw"].shape, "B", object)
    certainty[blanks.curved] = "A"
    certainty[np.any([from_table(name) for name in torques], axis=0)] = "C"
    worked_out = ("power, efficiency and power factor", "power and power factor")
    certainty[from_table("fla_a", but=worked_out)] = "D"
    certainty[from_table("efficiency_pct", but=worked_out)] = "D"
    why, read = np.full(certainty.shape, None, object), np.full(certainty.shape, None, object)
    blank = {"phases": np.isnan(blanks.phases)}
    blank |= {name: np.isnan(values) for name, values in blanks.values.items()}
    first = np.any([blank[name] for name in ESSENTIAL], axis=0)
    for motor in np.flatnonzero(np.any(list(blank.values()), axis=0)):
        asked = ESSENTIAL if first[motor] else blank
        names = [READ_ALSO.get(name, name) for name in asked if blank[name][motor]]
        certainty[motor], why[motor], read[motor] = "X", TOO_LITTLE, ", ".join(names)
    single = blanks.phases == 1
    certainty[single], why[single], read[single] = "X", "it has one phase", "phases"
    return Completed(Plate(**blanks.values), certainty, why, read, blanks.taken)


def _between(sizes: np.ndarray, values: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    """Values between the sizes of a table; NaN outside them."""
    there = ~np.isnan(values)
    inside = (wanted >= SAME_SIZE * sizes[there][0]) & (wanted * SAME_SIZE <= sizes[there][-1])
    return np.where(inside, np.interp(wanted, sizes[there], values[there]), np.nan)


def _larger_size(
    table: Table, heading: str, hp: np.ndarray, poles: np.ndarray, *, carry_on: bool = False
) -> np.ndarray:
    """Values of the next larger size, by poles; above the last size NaN, or the last one's."""
    found = np.full(hp.shape, np.nan)
    for count in (2, 4, 6, 8, 10, 12, 14):
        values = table.columns.get(heading.format(count), np.array([np.nan]))
        sizes = table.columns["power_hp"][: len(values)][~np.isnan(values)]
        if len(sizes):
            row = np.searchsorted(sizes, hp * SAME_SIZE)
            last = len(sizes) - 1
            value = values[~np.isnan(values)][row.clip(0, last)]
            here = (poles == count) & (hp > 0) & ((row <= last) | carry_on)
            found = np.where(here, value, found)
    return found


def _range_of(table: Table, kw: np.ndarray) -> np.ndarray:
    """Row whose range of power holds each, the first one for smaller motors, -1 for larger ones."""
    rows = np.searchsorted(table.columns["to_kw"], kw)
    return np.where(rows < len(table.columns["to_kw"]), rows, -1)


TABLES = (
    "breakdown-torque",
    "code-letters",
    "design-n-apparent-power",
    "design-n-torque",
    "energy-efficient",
    "full-load-current",
    "locked-rotor-current",
    "locked-rotor-torque",
    "other-design-torque",
)
FILLED = (
    "fla_a",
    "efficiency_pct",
    "power_factor",
    "locked_rotor_ratio",
    "locked_rotor_torque_pct",
    "breakdown_torque_pct",
)


@bundle(
    asks=(
        *(f.name for f in fields(Plate)),
        "phases",
        "practice",
        "design_letter",
        "code_letter",
        "maker_curve",
        *(f"{name.replace('-', '_')}_table" for name in TABLES),
    ),
    gives=(*(f"standard_{name}" for name in FILLED), "study_certainty"),
    # Read on the nameplate, each makes the standard's value needless.
    rests_on={f"standard_{name}": (each(*ESSENTIAL), each(name)) for name in FILLED}
    | {"study_certainty": (each(*ESSENTIAL, *FILLED),)},
    mixed=True,
)
def by_standard(**values: object) -> dict[str, np.ndarray]:
    """What worked-out values and the standards put in the blanks of a nameplate, and how sure."""
    tables = {name: values[f"{name.replace('-', '_')}_table"] for name in TABLES}
    rest = {name: values[name] for name in ("phases", "practice", "design_letter", "code_letter")}
    entered = Plate(**{f.name: values[f.name] for f in fields(Plate)})
    curves = [curve_of(text) for text in np.atleast_1d(np.asarray(values["maker_curve"], object))]
    completed = complete(plate=entered, tables=tables, curves=curves if any(curves) else None, **rest)
    made = {f"standard_{name}": getattr(completed.plate, name) for name in FILLED}
    # The highest torque is no less than that at standstill, whatever a table promises at the least.
    made["standard_breakdown_torque_pct"] = np.fmax(
        made["standard_breakdown_torque_pct"],
        np.where(np.isnan(made["standard_breakdown_torque_pct"]), np.nan, completed.plate.locked_rotor_torque_pct),
    )
    unknown = known(completed.why) & (completed.why == TOO_LITTLE)
    return made | {"study_certainty": np.where(unknown, None, completed.certainty)}
