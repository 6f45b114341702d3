"""A squirrel-cage motor as a circuit that carries exactly what its nameplate promises.

Everything is per unit of the motor's own rating: line voltage of the nameplate, full-load current,
S = √3·V·FLA, torque S/ω_s. Slip is 1 at standstill and 0 at synchronous speed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from register.calc.circuit import Plate, impedance, rotor_bends
from register.calc.start_shapes import CENTRE, VALUES, pull_up_floor, solved

BLOCK = 2048  # motors at a time, so that their slips stay in the processor's cache
REMEMBERED = 20_000  # motors whose circuits are kept, some 5 MB for each shape


@dataclass(frozen=True)
class Curve:
    """A maker's curves of one motor at rated voltage, by ascending speed from standstill up.

    Of synchronous speed [%], of full-load torque [%], and of full-load current [×FLA]; the power
    factor where the maker gives it.
    """

    speed_pct: np.ndarray
    torque_pct: np.ndarray
    current_xfla: np.ndarray
    power_factor: np.ndarray | None = None


@dataclass(frozen=True)
class Machine:
    """The circuit of each motor, as arrays of one length; `ok` False where there is none.

    g is the conductance at the terminals; r_s, x_s the stator; x_m magnetising; r_1, x_1 the rotor
    up to full-load slip, r_l, x_l at standstill, where the stator's reactance is x_slr. rho, p, m, d and n are
    those of a `Shape`. t_fl is full-load torque, s_fl full-load slip, locked_rotor the current at standstill.
    `floor_met` is False where the least torque of the design on the way up could not be reached. The units of all
    that: s_base_kva [kVA], v_base_v line to line [V], i_base_a, full-load current [A], omega_s, synchronous speed of
    the shaft [rad/s], t_base_nm [N·m].
    """

    g: np.ndarray
    r_s: np.ndarray
    x_s: np.ndarray
    x_m: np.ndarray
    r_1: np.ndarray
    x_1: np.ndarray
    r_l: np.ndarray
    x_l: np.ndarray
    x_slr: np.ndarray
    s_fl: np.ndarray
    t_fl: np.ndarray
    rho: np.ndarray
    p: np.ndarray
    m: np.ndarray
    d: np.ndarray
    n: np.ndarray
    locked_rotor: np.ndarray
    ok: np.ndarray
    floor_met: np.ndarray
    s_base_kva: np.ndarray
    v_base_v: np.ndarray
    i_base_a: np.ndarray
    omega_s: np.ndarray
    t_base_nm: np.ndarray
    curves: np.ndarray | None = None  # of Curve or None

    def take(self, index: np.ndarray | slice) -> Machine:
        """The motors at that index, mask or slice."""
        picked = {f.name: getattr(self, f.name) for f in fields(self)}
        return Machine(**{n: None if v is None else v[index] for n, v in picked.items()})


def fit(*, plate: Plate, shape: int | Sequence[int] = CENTRE, design_letter: np.ndarray | None = None) -> Machine:
    """The circuit that meets each nameplate: full load, locked rotor and breakdown torque.

    Parameters
    ----------
    plate : the nameplates, n of them
    shape : CENTRE, HIGH or LOW of `start_shapes` (0, 1, 2); of several, all motors in the first, then all in the second
    design_letter : of NEMA MG 1 or IEC 60034-12, which promises a least torque on the way up

    Returns
    -------
    Machine : (n,), or n for each of the shapes; `ok` False where something is unknown, or where no such circuit exists

    Notes
    -----
    A single cage whose resistance and leakage change with slip, as deep bars and saturation make
    them. All is closed form but the running leakage reactance, which is sought until the largest
    torque is the breakdown torque. A plate that puts breakdown at standstill (design D) is met by
    a curve that rises at most 2 % above its locked-rotor torque.

    References
    ----------
    Lindenmeyer et al., An induction motor parameter estimation method, 2001, and deep-bar theory
    (both from memory); the bends between by nine catalogue motors of two makers.
    """
    columns = np.broadcast_arrays(*(np.atleast_1d(getattr(plate, f.name)) for f in fields(Plate)))
    whole = Plate(*(np.asarray(column, float) for column in columns))
    floor = pull_up_floor(plate=whole, design_letter=design_letter)
    ends = (shape,) if isinstance(shape, int) else tuple(shape)
    first, which, keys = _differing(whole, floor)
    new = _FOUND.lacks(keys, ends)
    for begin in range(0, max(len(new), not keys), BLOCK):
        block = new[begin : begin + BLOCK]
        found = _fit(whole.take(first[block]), floor[first[block]], ends)
        for end, machine in zip(ends, found, strict=True):
            _FOUND.keep(end, [keys[at] for at in block], machine)
    each = [_FOUND.at(end, keys).take(which) for end in ends]
    names = [f.name for f in fields(Machine) if f.name != "curves"]
    return Machine(**{n: np.concatenate([getattr(one, n) for one in each]) for n in names})


class _Found:
    """Circuits found in this process, in each shape, by what the plate says to the last bit.

    The same motor is asked for by each study of its start, and again wherever something is tried.
    """

    def __init__(self) -> None:
        self.places: dict[int, dict[bytes, int]] = {}
        self.machines: dict[int, Machine] = {}

    def lacks(self, keys: list[bytes], ends: tuple[int, ...]) -> np.ndarray:
        """Which of them have yet to be found in one of these shapes; too many are forgotten first."""
        if any(len(self.places.get(end, ())) > REMEMBERED for end in ends):
            self.places, self.machines = {}, {}
        known = [self.places.get(end, {}) for end in ends]
        if not self.places:
            return np.arange(len(keys))
        return np.array([at for at, key in enumerate(keys) if not all(key in own for own in known)], int)

    def keep(self, end: int, keys: list[bytes], machine: Machine) -> None:
        """Remember circuits in one shape."""
        places, before = self.places.setdefault(end, {}), self.machines.get(end)
        names = [f.name for f in fields(Machine) if f.name != "curves"]
        count = 0 if before is None else len(before.ok)
        places.update(zip(keys, range(count, count + len(keys)), strict=True))
        parts = [machine] if before is None else [before, machine]
        self.machines[end] = Machine(**{n: np.concatenate([getattr(part, n) for part in parts]) for n in names})

    def at(self, end: int, keys: list[bytes]) -> Machine:
        """Those circuits."""
        places = self.places.get(end, {})
        return self.machines[end].take(np.array([places[key] for key in keys], int))


_FOUND = _Found()


def _differing(plate: Plate, floor: np.ndarray) -> tuple[np.ndarray, np.ndarray, list[bytes]]:
    """The first of the motors that are the same to the last bit, which of these each motor is, and what tells them."""
    rows = np.column_stack([*(getattr(plate, f.name) for f in fields(Plate)), floor])
    whole = np.ascontiguousarray(rows).view(np.dtype((np.void, rows.shape[1] * rows.itemsize)))[:, 0]
    _, first, which = np.unique(whole, return_index=True, return_inverse=True)
    return first, which, whole[first].tolist()


def admittance(machine: Machine, slip: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Admittance seen from the terminals, and torque, at 1 pu voltage.

    Parameters
    ----------
    machine : the motors, n of them
    slip : of synchronous speed, (n,) or (G, n)

    Returns
    -------
    complex admittance and torque, both of the shape of slip [pu]

    Notes
    -----
    Y = g + 1/(R_s + jX_s + Z_p); torque is the power across the air gap, |i|²·Re Z_p, less what the dip of the
    harmonic torques takes.
    """
    slip = np.asarray(slip, float)
    with np.errstate(all="ignore"):
        bends = rotor_bends(slip, machine.s_fl, machine)
        r_gap, r, x = impedance(machine, machine.rho, slip, bends)
        squared = 1.0 / (r * r + x * x)
        y = np.empty(np.shape(squared), complex)
        y.real, y.imag = machine.g + r * squared, -x * squared
        torque = r_gap * squared * bends.kept
    return _by_curves(machine, slip, y, torque) if machine.curves is not None else (y, torque)


def from_curves(*, machine: Machine, curves: Sequence[Curve | None]) -> Machine:
    """The same motors, with the makers' curves in place of the circuit where there are any.

    Between points the curves are straight; beyond the last one they run on to synchronous speed,
    where torque is 0 and the current is the circuit's. Without a power factor the circuit's is
    taken.
    """
    held = np.empty(len(curves), object)
    held[:] = list(curves)
    # A curve has no band; only how its current falls with the voltage is not in it.
    centre = np.where(np.equal(held, None), machine.n, VALUES[CENTRE][-1])
    return replace(machine, curves=held, n=centre)


def _fit(plate: Plate, floor: np.ndarray, ends: tuple[int, ...]) -> list[Machine]:
    """One block of motors in each of the shapes."""
    with np.errstate(all="ignore"):
        return [
            Machine(
                g=known.g,
                s_fl=known.s_fl,
                t_fl=known.t_fl,
                locked_rotor=plate.locked_rotor_ratio,
                ok=ok,
                floor_met=met,
                **vars(shape),
                **found._asdict(),
                **_base(plate),
            )
            for known, found, shape, ok, met in solved(plate, floor, ends)
        ]


def _base(plate: Plate) -> dict[str, np.ndarray]:
    omega_s = 4.0 * np.pi * plate.motor_frequency_hz / plate.poles
    kva = np.sqrt(3.0) * plate.motor_voltage_v * plate.fla_a / 1000.0
    return {
        "s_base_kva": kva,
        "v_base_v": plate.motor_voltage_v,
        "i_base_a": plate.fla_a,
        "omega_s": omega_s,
        "t_base_nm": 1000.0 * kva / omega_s,
    }


def _by_curves(machine: Machine, slip: np.ndarray, y: np.ndarray, torque: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Admittance and torque with the makers' curves where there are any."""
    y, torque = y.copy(), torque.copy()
    slip = np.broadcast_to(slip, y.shape)
    for motor in np.flatnonzero(np.not_equal(machine.curves, None)):
        curve, at = machine.curves[motor], (..., motor)
        speed = 100.0 * (1.0 - slip[at])
        idle = machine.g[motor] + 1.0 / (machine.r_s[motor] + 1j * (machine.x_s[motor] + machine.x_m[motor]))
        torque[at] = machine.t_fl[motor] * _along(curve, curve.torque_pct, speed, 0.0) / 100.0
        size = _along(curve, curve.current_xfla, speed, abs(idle))
        angle = np.angle(y[at])
        if curve.power_factor is not None:
            angle = -np.arccos(_along(curve, curve.power_factor, speed, np.cos(np.angle(idle))))
        y[at] = size * np.exp(1j * angle)
    return y, torque


def _along(curve: Curve, values: np.ndarray, speed: np.ndarray, at_end: float) -> np.ndarray:
    ends = np.asarray(curve.speed_pct)[-1] < 100.0
    points = np.append(curve.speed_pct, 100.0) if ends else curve.speed_pct
    return np.interp(speed, points, np.append(values, at_end) if ends else values)
