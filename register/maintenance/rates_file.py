"""A file of failure rates from many plants: written from all of them, read for the store and the plan of one.

The form is `docs/schema/rates.schema.json`; JSON in UTF-8. `sha256` is over all else, as JSON with its keys in order
and without spaces.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from math import isfinite
from pathlib import Path
from typing import Any

from register.columns import TABLES
from register.errors import Problem, StartrollError
from register.resources import small_file
from register.text import counted, grouped

FORM = "startroll rates 1"
REMEDY = "have it written again with startroll fleet --rates-to; do not change it by hand"
KINDS = TABLES["model"].column("device_kind").choices or ()


@dataclass(frozen=True, slots=True)
class Gamma:
    """A gamma distribution of failures a device and year: its shape, and its rate in device-years."""

    shape: float
    device_years: float


@dataclass(frozen=True, slots=True)
class SharedRate:
    """How often devices of one kind fail at a plant of which nothing is known, as other plants tell it.

    The rate lies between `low_per_year` and `high_per_year` with 90 %. It is based on so many `failures` in
    `watched_device_years` of `plants`. `without` has by the number of a register that was counted the distribution
    without its own failures: what it has seen itself is not to count twice.
    """

    kind: str
    above_1000_v: bool
    gamma: Gamma
    per_year: float
    low_per_year: float
    high_per_year: float
    plants: int
    failures: int
    watched_device_years: float
    without: Mapping[str, Gamma]


@dataclass(frozen=True, slots=True)
class Prior:
    """The distribution that a plant begins with before its own failures, and where that comes from, in words."""

    gamma: Gamma
    source: str


@dataclass(frozen=True, slots=True)
class RatesFile:
    """Rates from many plants, as of a day; `name` and `sha256` are of the file that was read."""

    made_on: str
    rates: tuple[SharedRate, ...]
    name: str = ""
    sha256: str = ""

    def of(self, kind: str, above_1000_v: bool, register: str) -> Prior | None:
        """What one register may begin with for a kind of device; None where no other plant tells of it."""
        for rate in self.rates:
            if (rate.kind, rate.above_1000_v) == (kind, above_1000_v):
                own = rate.without.get(register)
                if rate.plants > (own is not None):
                    return Prior(own or rate.gamma, self._source(rate, own is not None))
        return None

    def _source(self, rate: SharedRate, counted_itself: bool) -> str:
        years = grouped(float(f"{rate.watched_device_years:.3g}"))
        based = f"{counted(rate.plants, 'plant')}, {counted(rate.failures, 'failure')} in {years} device years"
        own = ", without what this plant brought to it" if counted_itself else ""
        return f"from {self.name} of {self.made_on} ({based}{own}; SHA-256 {self.sha256[:8]})"


def rates_text(made: RatesFile) -> str:
    """The text of the file for some rates; its SHA-256 is worked out anew."""
    rows = sorted(made.rates, key=lambda rate: (rate.kind, rate.above_1000_v))
    data = {"form": FORM, "made_on": made.made_on, "rates": [_row(rate) for rate in rows]}
    return json.dumps(data | {"sha256": fingerprint(data)}, ensure_ascii=False, indent=1) + "\n"


def _row(rate: SharedRate) -> dict[str, Any]:
    told = {name: getattr(rate, name) for name in SharedRate.__slots__ if name not in ("gamma", "without")}
    without = {number: _gamma(own) for number, own in sorted(rate.without.items())}
    return told | _gamma(rate.gamma) | {"without": without}


def _gamma(own: Gamma) -> dict[str, float]:
    return {"shape": own.shape, "device_years": own.device_years}


def fingerprint(data: Mapping[str, Any]) -> str:
    """The SHA-256 of such a file without its own "sha256", in hexadecimal digits."""
    rest = {name: value for name, value in data.items() if name != "sha256"}
    text = json.dumps(rest, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def read_rates(path: Path) -> RatesFile:
    """The rates of a file; StartrollError, with every problem, when it is not whole or says what cannot be."""
    try:
        data = json.loads(small_file(path).decode("utf-8-sig"))
    except OSError as error:
        cause = f"it cannot be read ({error.strerror})"
        raise StartrollError(Problem(cause, "name a file that startroll fleet --rates-to wrote", str(path))) from None
    except (ValueError, RecursionError):
        raise StartrollError(Problem("this is no file of rates, or a part is missing", REMEDY, str(path))) from None
    problems = [*_whole_problems(data)] or [*_rate_problems(data["rates"])]
    if problems:
        raise StartrollError(Problem(cause, REMEDY, f"{path}{place}") for place, cause in problems)
    return RatesFile(data["made_on"], tuple(_rate(row) for row in data["rates"]), path.name, data["sha256"])


def _rate(row: Mapping[str, Any]) -> SharedRate:
    told = {name: row[name] for name in SharedRate.__slots__ if name not in ("gamma", "without")}
    without = {number: Gamma(own["shape"], own["device_years"]) for number, own in row["without"].items()}
    return SharedRate(**told, gamma=Gamma(row["shape"], row["device_years"]), without=without)


def _whole_problems(data: Any) -> Iterator[tuple[str, str]]:
    if not isinstance(data, dict) or data.get("form") != FORM:
        yield "", f"this is no file of rates: its form is not {FORM!r}"
        return
    if data.get("sha256") != fingerprint(data):
        yield "", "it is not as it was written: its SHA-256 does not fit"
        return
    if not isinstance(data.get("rates"), list):
        yield "", "it has no list of rates"
    try:
        date.fromisoformat(data.get("made_on") or "")
    except (TypeError, ValueError):
        yield "", f"{data.get('made_on')!r} is not a day"


def _rate_problems(rows: list[Any]) -> Iterator[tuple[str, str]]:
    """What is wrong in each row, by its place from 1."""
    seen = set()
    for number, row in enumerate(rows, 1):
        place = f": rate {number}"
        if not isinstance(row, dict) or not isinstance(row.get("without"), dict):
            yield place, "it is no rate, or does not say which plants it is without"
            continue
        key = row.get("kind"), row.get("above_1000_v")
        if row.get("kind") not in KINDS or not isinstance(row.get("above_1000_v"), bool):
            yield place, f"{row.get('kind')!r} is no kind of device, or its voltage is not told"
        elif key in seen:
            yield place, f"{row['kind']} is there twice"
        seen.add(key)
        for where, own in (("", row), *((f", without {number}", own) for number, own in row["without"].items())):
            yield from ((place + where, cause) for cause in _number_problems(own, NUMBERS if own is row else GAMMA))


GAMMA = ("shape", "device_years")
NUMBERS = (*GAMMA, "per_year", "low_per_year", "high_per_year", "watched_device_years", "plants", "failures")
MAY_BE_NIL = ("failures", "low_per_year")


def _number_problems(row: Any, names: tuple[str, ...]) -> Iterator[str]:
    for name in names:
        value = row.get(name) if isinstance(row, dict) else None
        if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value) or value < 0:
            yield f"{name} is {value!r}, not a number above 0"
        elif value == 0 and name not in MAY_BE_NIL:
            yield f"{name} is 0, not a number above 0"
        elif name in ("plants", "failures") and not isinstance(value, int):
            yield f"{name} is {value!r}, not a whole number"
