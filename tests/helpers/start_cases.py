"""Motors, loads and supplies whose starts are known, and a second way to work a start out."""

import cmath
import math

import numpy as np

from register.calc.load_curve import Load
from register.calc.machine import Plate, fit
from register.calc.speed_domain import inertia_pu, march
from register.calc.start_course import DOES_NOT_TURN, STALLS, STARTS
from register.calc.start_methods import DIRECT, DRIVE, SOFT, TAP, TORQUE, Control, final_volts, path
from register.calc.start_shapes import CENTRE
from register.calc.stress import lowest_limit_xfla
from register.calc.supply import Supply, thevenin

NAN, INF = np.nan, np.inf

# Rated values as a nameplate and a data sheet give them; the power factor follows from the rest.
# fmt: off
M650 = dict(power_kw=650 * 0.7457, motor_voltage_v=460, motor_frequency_hz=60, speed_rpm=1788,
            fla_a=715, efficiency_pct=95.8, locked_rotor_ratio=6.2, locked_rotor_torque_pct=90,
            breakdown_torque_pct=200)
# fmt: on
# fmt: off
M10 = dict(power_kw=7.457, motor_voltage_v=460, motor_frequency_hz=60, speed_rpm=1755, fla_a=12.8,
           efficiency_pct=91.7, locked_rotor_ratio=6.33, locked_rotor_torque_pct=200,
           breakdown_torque_pct=260)
# fmt: on
# fmt: off
M75 = dict(power_kw=75, motor_voltage_v=400, motor_frequency_hz=50, speed_rpm=1485, fla_a=132,
           efficiency_pct=95, locked_rotor_ratio=7, locked_rotor_torque_pct=220,
           breakdown_torque_pct=280)
# fmt: on
# fmt: off
S650 = dict(bus_voltage_v=480, upstream_fault_mva=500, x_over_r=12, transformer_kva=2500,
            transformer_z_pct=5.75, transformer_x_over_r=8, cable_r_ohm_per_km=0.0012,
            cable_x_ohm_per_km=0.0015)
# fmt: on
# fmt: off
S10 = dict(bus_voltage_v=460, upstream_fault_mva=INF, x_over_r=1, transformer_kva=INF,
           transformer_z_pct=1, transformer_x_over_r=1, cable_r_ohm_per_km=0,
           cable_x_ohm_per_km=0)
# fmt: on
# fmt: off
S75 = dict(bus_voltage_v=400, upstream_fault_mva=12, x_over_r=6, transformer_kva=INF,
           transformer_z_pct=1, transformer_x_over_r=1, cable_r_ohm_per_km=0.020,
           cable_x_ohm_per_km=0.012)
# fmt: on
OPEN, CLOSED = (0.03, 0.12, 0, 0.87), (0.03, 0.12, 0, 0.42)  # a, b, c1, c2 of a fan's damper

DOL = Control.of(method=DIRECT)
RAMP = Control.of(method=SOFT, initial=0.3, ramp_s=30.0)
RAMP_AND_LIMIT = Control.of(method=SOFT, initial=0.4, ramp_s=10.0, limit_xfla=4.0)
BY_TORQUE = Control.of(method=TORQUE, torque_from=0.2, torque_to=1.2, ramp_s=12.0)


def limit(xfla):
    return Control.of(method=SOFT, limit_xfla=xfla)


def tap(ratio, seconds):
    return Control.of(method=TAP, tap=ratio, transition_s=seconds)


CASES = {
    "C5": (M650, S650, OPEN, DOL, 152.0),
    "C6": (M650, S650, CLOSED, DOL, 152.0),
    "C7": (M650, S650, OPEN, RAMP, 152.0),
    "C8": (M650, S650, OPEN, limit(3.5), 152.0),
    "C9": (M650, S650, OPEN, limit(3.0), 152.0),
    "C10": (M650, S650, CLOSED, limit(2.5), 152.0),
    "C11": (M650, S650, OPEN, tap(0.65, 30.0), 152.0),
    "C12": (M650, S650, CLOSED, tap(1 / math.sqrt(3), 40.0), 152.0),
    "C13": (M10, S10, (0.6, 0.6, 0, 0), DOL, 0.5),
    "C14": (M75, S75, (0.1, 0.2, 0.7, 0), RAMP_AND_LIMIT, 8.0),
    "C15": (M75, S75, (0.1, 0.2, 0, 0.8), BY_TORQUE, 8.0),
    "C16": (M650, S650, OPEN, limit(1.5), 152.0),
}


def array(*values):
    return np.array(values, float)


def machine_of(plate, shape=CENTRE):
    given = dict(poles=4, power_factor=NAN) | plate
    return fit(plate=Plate(**{n: array(v) for n, v in given.items()}), shape=shape)


def supply_of(supply, machine):
    given = {n: array(v) for n, v in supply.items()}
    return thevenin(
        **given,
        fault_current_ka=array(NAN),
        cable_length_m=array(1000.0),
        s_base_kva=machine.s_base_kva,
        v_base_v=machine.v_base_v,
    )


def load_of(load):
    return Load(*(array(v) for v in load))


def parts(case, shape=CENTRE):
    """The keyword arguments of a march of that case."""
    plate, supply, load, control, inertia_kgm2 = case
    machine = machine_of(plate, shape)
    return dict(
        machine=machine,
        load=load_of(load),
        supply=supply_of(supply, machine),
        control=control,
        inertia_pu=inertia_pu(inertia_kgm2=inertia_kgm2, machine=machine),
    )


def started(case, shape=CENTRE, **more):
    """The march of one case and its machine."""
    given = parts(case, shape)
    machine = given["machine"]
    return march(**given, stop_slip=2 * machine.s_fl, **more), machine


def plates(n, seed):
    """That many invented nameplates; one in a hundred contradicts itself."""
    chance = np.random.default_rng(seed)
    u = chance.uniform
    power, hertz = np.exp(u(np.log(1), np.log(500), n)), chance.choice([50.0, 60.0], n)
    poles, volts = chance.choice([2.0, 4.0, 6.0], n), chance.choice([400.0, 460.0, 575.0], n)
    slip = 0.028 * power**-0.22 * u(0.6, 1.5, n)
    use = 1 - 0.14 * power**-0.33 * u(0.8, 1.1, n)
    factor = np.clip(0.80 + 0.02 * np.log(power) + u(-0.03, 0.03, n), 0.7, 0.93)
    return Plate(
        power_kw=power,
        motor_voltage_v=volts,
        motor_frequency_hz=hertz,
        poles=poles,
        speed_rpm=120 * hertz / poles * (1 - slip),
        efficiency_pct=100 * use,
        fla_a=power * 1000 / (np.sqrt(3) * volts * factor * use),
        power_factor=np.full(n, NAN),
        locked_rotor_ratio=u(5, 7.5, n),
        locked_rotor_torque_pct=u(80, 220, n),
        breakdown_torque_pct=u(200, 320, n),
    )


def drawn(n, seed, shape=CENTRE):
    """That many invented starts: motors, loads, supplies, ways of starting and inertias."""
    machine = fit(plate=plates(n, seed), shape=shape)
    chance = np.random.default_rng([seed, 1])
    u = chance.uniform
    end, kind = u(0.3, 1.0, n), chance.random(n)
    a = np.where(kind < 0.15, end, u(0.02, 0.3, n) * end)
    linear, square = np.where(kind < 0.4, end - a, 0), np.where(kind < 0.4, 0, end - a)
    load = Load(a, a + u(0, 0.4, n), linear, square, np.full(n, 0.1))
    supply = Supply(
        u(0.002, 0.03, n) * np.exp(1j * u(1.2, 1.5, n)), u(0.001, 0.02, n) * np.exp(1j * u(0.2, 1, n)), u(0.97, 1.05, n)
    )
    method, way = chance.choice(4, n, p=[0.25, 0.2, 0.4, 0.15]), chance.integers(0, 3, n)
    limited = (method == SOFT) & (way != 1) | (method == TORQUE) & (way == 0)
    control = Control.of(
        method=method,
        tap=chance.choice([0.5, 1 / np.sqrt(3), 0.65, 0.8], n),
        transition_s=u(2, 30, n),
        initial=u(0, 0.5, n),
        ramp_s=np.where((method == TORQUE) | (way > 0), u(1, 40, n), 0),
        limit_xfla=np.where(limited, u(1.5, 5, n), INF),
        torque_from=u(0, 0.5, n),
        torque_to=u(0.8, 1.8, n),
        then_full=chance.integers(0, 2, n),
    )
    inertia = np.exp(u(np.log(0.3), np.log(25), n))
    return dict(
        machine=machine, load=load, supply=supply, control=control, inertia_pu=inertia, stop_slip=2 * machine.s_fl
    )


def edged(n, seed, shape=CENTRE):
    """Invented starts within 5 % of a stall: every other by its limit, the rest, of all methods, by their load."""
    case = drawn(n, seed, shape)
    about = {name: case[name] for name in ("machine", "load", "supply")}
    share = np.random.default_rng([seed, 2]).uniform(0.95, 1.05, n)
    by_limit = np.arange(n) % 2 == 0
    with np.errstate(all="ignore"):
        lowest = lowest_limit_xfla(**about, stop_slip=case["stop_slip"])
        along = path(**about, speed=np.linspace(0, 1, 2001)[:, None] * (1 - case["stop_slip"]))
        held = final_volts(path=along, control=case["control"], t_fl=case["machine"].t_fl)
        most = (held**2 * along.pull / along.load).min(axis=0)
    limited, control, load = limit(lowest * share), case["control"], case["load"]
    picked = {f: np.where(by_limit, getattr(limited, f), getattr(control, f)) for f in control.__dataclass_fields__}
    heavier = np.where(by_limit, 1.0, most * share)
    torques = (heavier * part for part in (load.a, load.b, load.c1, load.c2))
    return case | {"control": Control(**picked), "load": Load(*torques, load.y_b)}


class Moment:
    """One motor of a march, moment by moment: the circuit and the laws written out once more."""

    def __init__(self, case, i):
        names = "g r_s x_s x_m r_1 x_1 r_l x_l x_slr s_fl t_fl rho p m d n locked_rotor"
        self.m = {n: float(getattr(case["machine"], n)[i]) for n in names.split()}
        load, supply = case["load"], case["supply"]
        self.load = [float(getattr(load, n)[i]) for n in ("a", "b", "c1", "c2")]
        self.y_b = float(np.broadcast_to(load.y_b, load.a.shape)[i])
        self.z_s, self.z_c = complex(supply.z_s[i]), complex(supply.z_c[i])
        self.v_oc, self.inertia = float(supply.v_oc[i]), float(case["inertia_pu"][i])
        control = case["control"]
        self.c = {n: float(getattr(control, n)[i]) for n in control.__dataclass_fields__}

    def circuit(self, speed):
        """Admittance and torque at the terminals at 1 pu."""
        m, slip = self.m, 1 - speed
        way = min(max((slip - m["s_fl"]) / (1 - m["s_fl"]), 0), 1)
        flat = m["rho"] * min(m["r_1"], m["r_l"])
        r = flat + (m["r_l"] - flat) * way ** m["p"] + (m["r_1"] - flat) * (1 - way) ** 10
        bend = 1 - (1 - way) ** m["m"]
        x, x_s = (m[a] + (m[b] - m[a]) * bend for a, b in (("x_1", "x_l"), ("x_s", "x_slr")))
        gap = 1 / (1 / complex(r / slip, x) + 1 / complex(0, m["x_m"]))
        current = 1 / (complex(m["r_s"], x_s) + gap)
        pull = abs(current) ** 2 * gap.real * (1 - m["d"] * 6.75 * way**2 * (1 - way))
        return m["g"] + current, pull

    def falls(self, volts, size):
        """Current at that terminal voltage, of what it would be in proportion."""
        m = self.m
        e = (m["n"] - 1) * min(max((size - 2) / (m["locked_rotor"] - 2), 0), 1)
        return max(volts, 2 / size) ** e

    def at_current(self, y, current):
        """Admittance and terminal voltage at that current, by bisection."""
        low, high = 0.0, 4.0
        for _ in range(60):
            volts = (low + high) / 2
            low, high = (volts, high) if volts * self.falls(volts, abs(y)) * abs(y) < current else (low, volts)
        return y * self.falls(low, abs(y)), low

    def load_torque(self, speed):
        a, b, c1, c2 = self.load
        y = speed / (1 - self.m["s_fl"])
        held = (b - a) * max(0, 1 - y / self.y_b)
        return self.m["t_fl"] * (a + c1 * y + c2 * y * y + held)

    def settled(self, y, volts_of):
        """Current with the admittance that its own voltage leaves it; volts_of gives that at the terminals."""
        factor, before = 1.0, None
        while before is None or abs(factor - before) > 1e-14:
            factor, before = self.falls(volts_of(y * factor), abs(y)), factor
        return volts_of(y * factor) * abs(y) * factor

    def behind(self, y, ratio):
        """Voltage before the cable of a device in series, by bisection of the loop equation itself."""
        y = y / (1 + self.z_c * y)
        phase = abs(cmath.phase(y))
        low, high = 0.0, self.v_oc
        for _ in range(60):
            volts = (low + high) / 2
            current, before = volts * abs(y), volts / ratio
            watts = volts * current * math.cos(phase)
            reactive = math.sqrt(max((before * current) ** 2 - watts**2, 0))
            source = abs(before + self.z_s * complex(watts, -reactive) / before)
            low, high = (volts, high) if source < self.v_oc else (low, volts)
        return (low + high) / 2

    def ratio_current(self, y, ratio):
        def volts_of(y):
            whole = y / (1 + self.z_c * y)
            cosine, size = whole.real / abs(whole), abs(whole)
            inside = math.sqrt(1 / max(ratio, 1e-6) ** 2 - cosine**2) + self.z_s.imag * size
            before = self.v_oc / math.hypot(cosine + self.z_s.real * size, inside)
            return before / abs(1 + self.z_c * y)

        return self.settled(y, volts_of)

    def current(self, time, y, pull):
        """What the motor draws by its way of starting, so long after it began."""
        c = self.c
        tapped = c["method"] == TAP and time < c["transition_s"]
        k = c["tap"] if tapped else 1.0
        full = self.settled(y, lambda y: k * self.v_oc / abs(1 + (self.z_c + k * k * self.z_s) * y))
        if c["method"] in (DIRECT, TAP):
            return full
        most, part = min(full, c["limit_xfla"]), 1.0
        if time < c["ramp_s"]:
            part = time / c["ramp_s"]
        if c["method"] == TORQUE:
            if part == 1.0 and c["then_full"]:
                return most
            asked = c["torque_from"] + (c["torque_to"] - c["torque_from"]) * part
            return min(most, math.sqrt(asked * self.m["t_fl"] / pull) * abs(y))
        if part == 1.0:
            return most
        return min(most, self.ratio_current(y, c["initial"] + (1 - c["initial"]) * part))

    def driven(self, speed):
        """The same on a drive: along its ramp, within its torque and its current at rated flux."""
        idle = abs((1 / complex(self.m["r_s"], self.m["x_s"] + self.m["x_m"])).imag)
        share = min(self.c["torque_to"], math.sqrt((self.c["limit_xfla"] ** 2 - idle**2) / (1 - idle**2)))
        spare = share * self.m["t_fl"] - self.load_torque(speed)
        rate = max(min((1 - 2 * self.m["s_fl"]) / self.c["ramp_s"], spare / self.inertia), 0.0)
        torque = (rate * self.inertia + self.load_torque(speed)) / self.m["t_fl"]
        return [rate, idle**2 + (1 - idle**2) * torque**2]

    def rates(self, time, state):
        speed = min(max(state[0], 0.0), 1 - 1e-9)
        if self.c["method"] == DRIVE:
            return self.driven(speed)
        y, pull = self.circuit(speed)
        current = self.current(time, y, pull)
        net = ((current / abs(y)) ** 2 * pull - self.load_torque(speed)) / self.inertia
        return [max(net, 0.0) if state[0] <= 0 else net, current**2]


def integrated(case, i, t_max=200.0):
    """Verdict, start time, ∫i²dt of the motor and last speed by scipy's DOP853 in time."""
    from scipy.integrate import solve_ivp

    moment, state, begun = Moment(case, i), [0.0, 0.0], 0.0
    stop_speed = 1 - float(case["stop_slip"][i])

    def up(_, state):
        return state[0] - stop_speed

    up.terminal = True
    corner = {TAP: "transition_s", SOFT: "ramp_s", TORQUE: "ramp_s"}.get(moment.c["method"])
    corners = [moment.c[corner]] if corner and 0 < moment.c[corner] < t_max else []
    for end in [*corners, t_max]:
        part = solve_ivp(
            moment.rates,
            (begun, end),
            state,
            method="DOP853",
            rtol=1e-9,
            atol=1e-10,
            events=up,
            max_step=max((end - begun) / 20, 0.05),
        )
        state, begun = list(part.y[:, -1]), end
        if part.t_events[0].size:
            return STARTS, part.t[-1], state[1], state[0]
    return (DOES_NOT_TURN if state[0] < 1e-4 else STALLS), NAN, state[1], state[0]
