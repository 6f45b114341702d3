"""What a position serves, how much hangs on its device, and what load and place ask of it."""

from __future__ import annotations

import numpy as np

from register.calc.standard_table import Table
from register.calc.word_match import known, said

# Parts of words by which a description hints at a load that saves lives, in four languages.
HINTS = ("fire", "sprinkler", "jockey", "hydrant", "smoke", "feuer", "lösch", "rauch", "incendi", "fumée", "humo")
MAY_SAVE_LIVES = (
    *("centrifugal pump", "positive-displacement pump", "deep-well pump"),
    *("centrifugal fan", "axial fan", "blower", "hoist", "other"),
)
HEAVY = (
    "conveyor",
    "screw conveyor",
    "crusher",
    "mill",
    "mixer",
    "positive-displacement pump",
    "slurry pump",
    "reciprocating compressor",
    "hoist",
    "saw",
    "centrifuge",
)


def load_service(*, service_kind: np.ndarray, description: np.ndarray, load_kind: np.ndarray) -> np.ndarray:
    """Whether a position serves the process or saves lives, as far as known.

    Parameters
    ----------
    service_kind : service as entered
    description : what the motor drives
    load_kind : kind of driven machine

    Returns
    -------
    load_service : None where nobody entered it and the description hints at fire or smoke

    Notes
    -----
    What is entered counts. Else a machine that is neither pump nor fan nor hoist serves the process,
    and so does one whose description hints at nothing else (common practice).

    Examples
    --------
    >>> str(load_service(service_kind=None, description="No 2 stock pump", load_kind=None))
    'process'
    >>> load_service(service_kind=None, description="Fire pump 1", load_kind=None).item() is None
    True
    """
    texts = np.asarray(description, object)
    answers = {text: text is not None and any(hint in str(text).lower() for hint in HINTS) for text in set(texts.flat)}
    hinted = np.array([answers[text] for text in texts.flat], bool).reshape(texts.shape)
    harmless = known(load_kind) & ~said(load_kind, *MAY_SAVE_LIVES)
    process = harmless | (known(description) & ~hinted)
    return np.where(known(service_kind), service_kind, np.where(process, "process", None))


def typical_other_motors_a(*, fla_a: np.ndarray, motors_on_device: np.ndarray) -> np.ndarray:
    """Current of the other motors on a device, were each as large as the one entered.

    Parameters
    ----------
    fla_a : full-load current on the nameplate [A]
    motors_on_device : motors that the one device feeds

    Returns
    -------
    typical_other_motors_a : at most so much, the one entered being the largest [A]

    Examples
    --------
    >>> round(float(typical_other_motors_a(fla_a=3.4, motors_on_device=4.0)), 1)
    10.2
    """
    return np.asarray(fla_a, float) * (np.asarray(motors_on_device, float) - 1.0)


def all_motors_a(*, fla_a: np.ndarray, motors_on_device: np.ndarray, other_motors_a: np.ndarray) -> np.ndarray:
    """Full-load current of all motors on a device.

    Parameters
    ----------
    fla_a : full-load current on the nameplate [A]
    motors_on_device : motors that the one device feeds
    other_motors_a : full-load current of the others [A]

    Returns
    -------
    all_motors_a : of the one motor where there is no other [A]

    Examples
    --------
    >>> round(float(all_motors_a(fla_a=3.4, motors_on_device=4.0, other_motors_a=10.2)), 1)
    13.6
    """
    return _with_others(fla_a, motors_on_device, other_motors_a)


def all_code_current_a(
    *, code_current_a: np.ndarray, motors_on_device: np.ndarray, other_motors_a: np.ndarray
) -> np.ndarray:
    """Current by which the US code sizes what carries all motors on a device.

    Parameters
    ----------
    code_current_a : that of the one entered, the largest [A]
    motors_on_device : motors that the one device feeds
    other_motors_a : full-load current of the others [A]

    Returns
    -------
    all_code_current_a : NaN where it is not the US code that holds [A]

    References
    ----------
    NFPA 70-2023, 430.24 and 430.110(C).

    Examples
    --------
    >>> float(all_code_current_a(code_current_a=34.0, motors_on_device=1.0, other_motors_a=float("nan")))
    34.0
    """
    return _with_others(code_current_a, motors_on_device, other_motors_a)


def _with_others(own: np.ndarray, motors: np.ndarray, others: np.ndarray) -> np.ndarray:
    motors = np.asarray(motors, float)
    more = np.where(motors > 1, np.asarray(others, float), np.where(motors == 1, 0.0, np.nan))
    return np.asarray(own, float) + more


def load_duty(*, load_kind: np.ndarray, load_curve: np.ndarray) -> np.ndarray:
    """Duty for which a drive of this load is rated: normal (110 %) or heavy (150 %).

    Parameters
    ----------
    load_kind : kind of driven machine
    load_curve : how the load torque grows with speed

    Returns
    -------
    load_duty : normal or heavy; None where kind or curve is unknown

    Notes
    -----
    Machines that break away or jam, and all of constant torque, ask for heavy duty (common practice).

    Examples
    --------
    >>> str(load_duty(load_kind="centrifugal fan", load_curve="square"))
    'normal'
    >>> str(load_duty(load_kind="crusher", load_curve=None))
    'heavy'
    """
    heavy = said(load_kind, *HEAVY)
    curve = known(load_kind) & ~heavy
    duty = np.where(heavy | (curve & said(load_curve, "constant")), "heavy", None)
    return np.where(curve & said(load_curve, "square", "linear"), "normal", duty)


def lowest_speed_pct(*, ct_speed_range: np.ndarray) -> np.ndarray:
    """Lowest speed at which a motor with its own fan carries full torque for good.

    Parameters
    ----------
    ct_speed_range : speed range at constant torque, n to 1

    Returns
    -------
    lowest_speed_pct : of rated speed [%]

    Examples
    --------
    >>> float(lowest_speed_pct(ct_speed_range=10.0))
    10.0
    """
    return 100.0 / np.asarray(ct_speed_range, float)


def ex_fits_area(*, ex_protection: np.ndarray, area_class: np.ndarray, ex_areas_table: Table) -> np.ndarray:
    """Whether a classified area accepts the motor's type of protection.

    Parameters
    ----------
    ex_protection : type of protection of the motor
    area_class : classified area in which it stands
    ex_areas_table : which area accepts which type of protection

    Returns
    -------
    ex_fits_area : yes or no; None where the table says neither

    Notes
    -----
    Gas group, temperature class and cable entries are not in it: yes is no certificate.

    References
    ----------
    IEC 60079-14; NFPA 70, 501.125 and 505.20 (table: from memory until someone licensed has read it).

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> str(ex_fits_area(ex_protection="Ex ec", area_class="zone 1", ex_areas_table=load_tables()["ex-areas"]))
    'no'
    """
    rows = ex_areas_table.of("ex_protection", ex_protection)
    fits = np.full(rows.shape, None, object)
    for name, cells in ex_areas_table.columns.items():
        if name != "ex_protection":
            answers = np.append(cells, None)[rows]
            fits = np.where(said(area_class, name.replace("_", " ")), answers, fits)
    return fits


def motor_place_factor(
    *,
    motor_ambient_c: np.ndarray,
    altitude_m: np.ndarray,
    power_hp: np.ndarray,
    device_kind: np.ndarray,
    motor_place_table: Table,
) -> np.ndarray:
    """Share of its nameplate power that the motor can give where it stands.

    Parameters
    ----------
    motor_ambient_c : highest usual ambient temperature at the motor [°C]
    altitude_m : altitude of the position [m]
    power_hp : rated output power [hp]
    device_kind : way of starting
    motor_place_table : share of its power left at altitude and ambient

    Returns
    -------
    motor_place_factor : 1 in the usual conditions; beyond them NaN outside the table, above 200 hp, and on a drive

    Notes
    -----
    Between rows and columns of the table the lower value counts.

    References
    ----------
    NEMA MG 1, 14.2; IEC 60034-1 (1000 m, 40 °C); the shares are one maker's.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> float(motor_place_factor(motor_ambient_c=44.0, altitude_m=1900.0, power_hp=50.0, device_kind="across-the-line",
    ...                          motor_place_table=load_tables()["motor-place"]))
    0.9
    """
    altitudes, warm = motor_place_table.columns["altitude_m"], (40.0, 45.0, 50.0, 55.0, 60.0)
    cells = np.stack([motor_place_table.columns[f"at_{c:.0f}_c"] for c in warm], axis=1)
    cells = np.pad(cells, ((0, 1), (0, 1)), constant_values=np.nan)
    height, heat = np.asarray(altitude_m, float), np.asarray(motor_ambient_c, float)
    found = cells[np.searchsorted(altitudes, height), np.searchsorted(warm, heat)]
    covered = (np.asarray(power_hp, float) <= 200.0) & known(device_kind) & ~said(device_kind, "drive")
    usual = (height <= altitudes[0]) & (heat <= warm[0])
    return np.where(usual, 1.0, np.where(covered, found, np.nan))
