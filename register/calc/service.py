"""What a load serves, and what its kind asks of a drive and of a place."""

from __future__ import annotations

import re

import numpy as np

from register.calc.standard_table import Table
from register.calc.word_match import known, read_each, said

# Words in a description or an area that speak of life-safety: en, de, es, it, fr.
LIFE_SAFETY = re.compile("fire|sprinkler|jockey|hydrant|smoke|feuer|lösch|rauch|incendi|fumée|humo", re.IGNORECASE)
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


def _speaks_of_life_safety(words: np.ndarray) -> np.ndarray:
    return read_each(words, lambda word: float(bool(LIFE_SAFETY.search(str(word))))) == 1.0


def load_service(*, service: np.ndarray, description: np.ndarray, area: np.ndarray) -> np.ndarray:
    """What the load serves, as entered or as its description leaves no doubt.

    Parameters
    ----------
    service : what the load serves, as entered
    description : what the motor drives
    area : area of the plant

    Returns
    -------
    load_service : process where neither text speaks of life-safety; unknown while one does

    Notes
    -----
    Common practice: nobody calls a fire pump by another name.

    Examples
    --------
    >>> str(load_service(service=None, description="No 2 stock pump", area="Stock preparation"))
    'process'
    >>> load_service(service=None, description="Fire pump 1", area="Pump house") is None
    False
    >>> print(load_service(service=None, description="Fire pump 1", area="Pump house"))
    None
    """
    silent = [known(text) & ~_speaks_of_life_safety(text) for text in (description, area)]
    told = np.where(silent[0] & silent[1], "process", None)
    return np.where(known(service), np.asarray(service, object), told)


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
