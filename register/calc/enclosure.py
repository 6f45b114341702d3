"""Whether an enclosure keeps out what its place brings: IP codes, NEMA types, motor enclosures."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

import numpy as np

from register.calc.standard_table import Table
from register.calc.word_match import known, said

_IP = re.compile(r"(?<![A-Z])IP\W?([0-6X])([0-9X])")
_TYPE = re.compile(r"(?:NEMA|TYPE)\W*(?:TYPE\W*)?(\d{1,2}[A-Z]*)")
_MOTOR = re.compile(r"[^A-Z0-9]")
JETS, IMMERSION = 6, 7  # second numerals up to which each includes the ones below, and above

# What a place usually asks for (common practice; the codes of IEC 60529, the types of NEMA 250).
US_NEEDS = {
    "indoor": "NEMA 1",
    "indoor dusty": "NEMA 12",
    "indoor wet": "NEMA 12",
    "washdown": "NEMA 4",
    "outdoor": "NEMA 3R",
}
IEC_NEEDS = {"indoor": "IP20", "indoor dusty": "IP54", "indoor wet": "IP44", "washdown": "IP65", "outdoor": "IP44"}
MOTOR_NEEDS = {"indoor": "IP20", "indoor dusty": "IP54", "indoor wet": "IP24", "washdown": "IP55", "outdoor": "IP24"}


@dataclass(frozen=True, slots=True)
class _Enclosure:
    """First numeral, the second numerals kept, and whether weather and corrosion were tested.

    The last two are None for an IP code, which does not speak of them.
    """

    solid: int
    waters: frozenset[int]
    outdoor: bool | None = None
    corrosion: bool | None = None


def _waters(numeral: int) -> frozenset[int]:
    """What a second numeral includes: up to jets all below, above them no jets."""
    if numeral <= JETS:
        return frozenset(range(numeral + 1))
    return frozenset((*range(JETS - 1), numeral))


def _read(text: str | None, table: Table) -> _Enclosure | None:
    """The enclosure that a text names; None where it names none."""
    word = (text or "").upper()
    codes = _IP.findall(word)
    if codes:
        if any("X" in code for code in codes):
            return None
        waters = frozenset().union(*(_waters(int(water)) for _, water in codes))
        return _Enclosure(min(int(solid) for solid, _ in codes), waters)
    kind = _TYPE.search(word)
    name = f"NEMA {kind[1]}" if kind else _MOTOR.sub("", word)
    row = int(table.of("enclosure", np.array(name, object)))
    if row < 0:
        return None
    solid, water = (int(table.columns[n][row]) for n in ("first_numeral", "second_numeral"))
    outdoor, corrosion, hose = (
        {"yes": True, "no": False}.get(table.columns[n][row]) for n in ("outdoor", "corrosion", "hose")
    )
    waters = _waters(water) | (_waters(JETS) if hose else frozenset())
    return _Enclosure(solid, waters, outdoor, corrosion)


def _fits(have: _Enclosure | None, need: _Enclosure | None) -> str | None:
    """yes or no; None where a code leaves open what the other speaks of."""
    if have is None or need is None:
        return None
    if have.solid < need.solid or max(need.waters) not in have.waters:
        return "no"
    answer = "yes"
    for has, asked in ((have.outdoor, need.outdoor), (have.corrosion, need.corrosion)):
        if asked and has is False:
            return "no"
        if asked and has is None:
            answer = None
    return answer


def _each(haves: np.ndarray, needs: np.ndarray, table: Table) -> np.ndarray:
    """The answer for each pair of words, each distinct pair judged once."""

    @cache
    def answer(have: str | None, need: str | None) -> str | None:
        return _fits(_read(have, table), _read(need, table))

    haves, needs = np.broadcast_arrays(np.asarray(haves, object), np.asarray(needs, object))
    found = np.empty(haves.shape, object)
    found.ravel()[:] = [answer(h, n) for h, n in zip(haves.flat, needs.flat, strict=True)]
    return found


def _said(places: np.ndarray, needs: dict[str, str]) -> np.ndarray:
    places = np.asarray(places, object)
    found = np.empty(places.shape, object)
    found.ravel()[:] = [needs.get(place) for place in places.flat]
    return found


def place_enclosure_need(*, practice: np.ndarray, device_place: np.ndarray) -> np.ndarray:
    """Enclosure that a place of this kind usually asks for.

    Parameters
    ----------
    practice : body of practice: a NEMA type for us, an IP code for iec
    device_place : what it is like where the starting device stands

    Returns
    -------
    place_enclosure_need : None while either is unknown

    References
    ----------
    Common practice; NEMA 250, types for indoor and outdoor places; IEC 60529 (both from memory).

    Examples
    --------
    >>> str(place_enclosure_need(practice="us", device_place="outdoor"))
    'NEMA 3R'
    """
    us = np.equal(np.asarray(practice, object), "us")
    iec = np.equal(np.asarray(practice, object), "iec")
    needs = np.where(us.astype(bool), _said(device_place, US_NEEDS), None)
    return np.where(iec.astype(bool), _said(device_place, IEC_NEEDS), needs)


def device_enclosure_fits(
    *, device_enclosure: np.ndarray, enclosure_need: np.ndarray, enclosures_table: Table
) -> np.ndarray:
    """Whether the device's enclosure is what the place asks for.

    Parameters
    ----------
    device_enclosure : enclosure of the device
    enclosure_need : enclosure that the place asks for
    enclosures_table : IP numerals that each NEMA type covers

    Returns
    -------
    device_enclosure_fits : yes or no; None where a text cannot be read or leaves it open

    Notes
    -----
    Both numerals have to be reached. Numerals 7 and 8 do not include jets, 5 and 6, unless both are
    marked. A NEMA type covers its IP numerals, and never the other way round: an IP code says
    nothing of rain, ice and corrosion, so that it can be too little for a type and never enough.

    References
    ----------
    IEC 60529, clauses 5 and 6; NEMA 250, annex on IP numerals (from memory).

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> fits = device_enclosure_fits(device_enclosure="NEMA 12", enclosure_need="IP54",
    ...                              enclosures_table=load_tables()["enclosures"])
    >>> str(fits)
    'yes'
    """
    return _each(device_enclosure, enclosure_need, enclosures_table)


def panel_enclosure_fits(
    *, panel_enclosure: np.ndarray, enclosure_need: np.ndarray, enclosures_table: Table
) -> np.ndarray:
    """Whether the panel round the device is what the place asks for.

    Parameters
    ----------
    panel_enclosure : enclosure of the panel; none where the device stands by itself
    enclosure_need : enclosure that the place asks for
    enclosures_table : IP numerals that each NEMA type covers

    Returns
    -------
    panel_enclosure_fits : yes or no; None where a text cannot be read or leaves it open

    References
    ----------
    As for the device's own enclosure.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> fits = panel_enclosure_fits(panel_enclosure="NEMA 12", enclosure_need="IP54",
    ...                             enclosures_table=load_tables()["enclosures"])
    >>> str(fits)
    'yes'
    """
    without = said(panel_enclosure, "none") & known(enclosure_need)
    return np.where(without, "no", _each(panel_enclosure, enclosure_need, enclosures_table))


def motor_enclosure_fits(
    *, motor_enclosure: np.ndarray, motor_place: np.ndarray, enclosures_table: Table
) -> np.ndarray:
    """Whether the motor's enclosure suits the place where it stands.

    Parameters
    ----------
    motor_enclosure : enclosure or cooling of the motor
    motor_place : what it is like where the motor stands
    enclosures_table : IP numerals that each motor enclosure covers

    Returns
    -------
    motor_enclosure_fits : yes or no; None where a text cannot be read

    References
    ----------
    IEC 60034-5 and NEMA MG 1 part 5, IP codes of motors (from memory); the codes that a place asks
    for are common practice.

    Examples
    --------
    >>> from register.facts.standard_tables import load_tables
    >>> fits = motor_enclosure_fits(motor_enclosure="ODP", motor_place="outdoor",
    ...                             enclosures_table=load_tables()["enclosures"])
    >>> str(fits)
    'no'
    """
    return _each(motor_enclosure, _said(motor_place, MOTOR_NEEDS), enclosures_table)
