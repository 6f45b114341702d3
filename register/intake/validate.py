"""What only the whole of an intake shows: two-voltage nameplates, references, doubled places."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable
from typing import Any

from sqlite_utils import Database

from register.columns import TABLES
from register.intake.mapping import quoted, quoted_flow
from register.intake.match import ASSETS
from register.intake.merge_rows import OF_THEIR_OWN
from register.intake.plan import Key, Origin, Rows
from register.intake.taken import Taken
from register.intake.vocabulary import squeezed

NEAR = 0.12  # 460 V on a 480 V bus, 380 V on one of 415 V
DUAL = ("motor_voltage_v", "fla_a")
Known = dict[str, dict[Key, dict[str, Any]]]


def choose_voltage(db: Database, sheets: list[Taken]) -> None:
    """Of 230/460 V take what fits the bus, and the current that belongs to it; else refuse."""
    if not any(c.options for t in sheets for n in DUAL if n in t.reads for c in t.reads[n].special.values()):
        return
    volts = dict(db.execute("SELECT bus, bus_voltage_v FROM bus").fetchall())
    bus_of = dict(db.execute("SELECT tag, bus FROM position").fetchall())
    for taken in sheets:
        volts |= _pairs(taken, "bus", "bus_voltage_v")
        bus_of |= _pairs(taken, "tag", "bus")
    for taken in sheets:
        tags = taken.reads["tag"].values if "tag" in taken.reads else None
        for index in range(len(taken.body.rows)):
            bus = bus_of.get(tags[index]) if tags else None
            own = taken.reads["bus_voltage_v"].values[index] if "bus_voltage_v" in taken.reads else None
            _choose(taken, index, own or (volts.get(bus) if bus else None))
        _ask_voltage(taken)


def _pairs(taken: Taken, one: str, other: str) -> dict[Any, Any]:
    if one not in taken.reads or other not in taken.reads:
        return {}
    pairs = zip(taken.reads[one].values, taken.reads[other].values, strict=True)
    return {a: b for a, b in pairs if a is not None and b is not None}


def _choose(taken: Taken, index: int, bus_volts: float | None) -> None:
    volts, amps = (taken.reads.get(n) for n in DUAL)
    many_volts = volts.special.get(index) if volts else None
    many_amps = amps.special.get(index) if amps else None
    from_end = 0
    if many_volts is not None and many_volts.options:
        fits = [k for k, v in enumerate(many_volts.options) if bus_volts and abs(v - bus_volts) <= NEAR * bus_volts]
        if len(fits) != 1:
            if not bus_volts:
                return  # asked about, once for the sheet
            lacks = "none or several fit the bus"
            cause = f"{many_volts.text!r} is a nameplate of several voltages, and {lacks}"
            for name, cell in zip(DUAL, (many_volts, many_amps), strict=True):
                if cell is not None and cell.options:
                    taken.refuse(
                        name,
                        index,
                        cell.text,
                        cause,
                        "write the one it is connected for, or the bus_voltage_v of its bus",
                    )
                    taken.reads[name].special[index] = cell._replace(options=())
            return
        from_end = fits[0] - len(many_volts.options)
        _take(taken, DUAL[0], index, from_end)
    if many_amps is not None and many_amps.options:
        if from_end and -from_end <= len(many_amps.options):
            _take(taken, DUAL[1], index, from_end)
        else:
            cause = f"{many_amps.text!r} is several currents, and the voltage does not say which"
            taken.refuse(DUAL[1], index, many_amps.text, cause, "write the one that applies")
            taken.reads[DUAL[1]].special[index] = many_amps._replace(options=())


def _ask_voltage(taken: Taken) -> None:
    """One question for the nameplates of several voltages whose bus has none."""
    read = taken.reads.get(DUAL[0])
    rows = [i for i, cell in read.special.items() if cell.options] if read else []
    if read is None or not rows:
        return
    seen = Counter(v for v in read.values if v is not None)
    options = dict.fromkeys(v for i in rows for v in read.special[i].options)
    choices = tuple(f"{v:g}" for v in sorted(options, key=lambda v: -seen[v]))
    text = read.special[rows[0]].text
    question = f"{len(rows)} nameplates of several voltages, as {text!r}; the bus's voltage is not known: which is it?"
    answer = f"constants: {{bus_voltage_v: {choices[0]}}}"
    line = "constants: {bus_voltage_v: {}}"
    taken.ask(taken.address(DUAL[0], rows[0]), "", question, choices, answer, len(rows), line=line, under="sheet")
    for name in DUAL:
        for i, cell in list(taken.reads[name].special.items()) if name in taken.reads else []:
            if cell.options and (name == DUAL[0] or i in rows):
                taken.reads[name].special[i] = cell._replace(options=(), question="voltage")


def _take(taken: Taken, name: str, index: int, from_end: int) -> None:
    read = taken.reads[name]
    cell = read.special[index]
    read.values[index] = cell.options[from_end]
    read.special[index] = cell._replace(value=cell.options[from_end], options=())


def refuse_cells(sheets: Iterable[Taken]) -> None:
    """Refuse every cell that was not understood, or is several values where one belongs."""
    for taken in sheets:
        for name, read in taken.reads.items():
            for index, cell in read.special.items():
                if taken.body.rows[index] in taken.rows_refused:
                    continue
                if cell.options:
                    taken.refuse(
                        name, index, cell.text, f"{cell.text!r} is several values", "write the one that applies"
                    )
                elif cell.cause:
                    taken.refuse(name, index, cell.text, cell.cause, cell.remedy)


def refuse_look_alikes(db: Database, rows: dict[str, Rows], sheets: dict[int, Taken]) -> None:
    """Ask about a new tag or bus that differs from another only by case, spaces or hyphens: the same, or its own?"""
    for table in ("position", "bus"):
        if table not in rows:
            continue
        known = {squeezed(k): k for (k,) in db.execute(f"SELECT {TABLES[table].key[0]} FROM {table}")}
        names = {k for k in known.values()} | {name for one in sheets.values() for name in one.apart}
        for key in list(rows[table].values):
            other: Any = known.setdefault(squeezed(key[0]), key[0])
            if other != key[0] and key[0] not in names:
                _ask_same(rows, table, key[0], other, sheets)


def _ask_same(rows: dict[str, Rows], table: str, name: str, other: str, sheets: dict[int, Taken]) -> None:
    """Leave the rows of a name out until it is known whether it is another's."""
    key = (name,)
    del rows[table].values[key]
    origins = rows[table].origins.pop(key)
    taken, first = sheets[origins[0].sheet], origins[0]
    for origin in origins:
        sheets[origin.sheet].rows_asked.add(origin.row)
    column = TABLES[table].key[0]
    place = taken.address(column, bisect_left(taken.body.rows, first.row))
    taken.ask(
        place,
        "",
        f"{column} {name!r} is almost {other!r}: the same {table}, or one of its own?",
        (other, name),
        "tags: " + quoted_flow({name: other}),
        len(origins),
        line=f"tags: {{{quoted(name)}: {{}}}}",
        under="sheet",
    )


def refuse_unknown(rows: dict[str, Rows], known: Known, sheets: dict[int, Taken]) -> bool:
    """Refuse rows about a position, device or motor that nobody knows; True when any was."""
    refused = False
    for name in list(rows):
        table = TABLES[name]
        refs = [c for c in table.columns if c.references]
        for key, values in list(rows[name].values.items()):
            for column in refs:
                value = values.get(column.name)
                owner = column.references
                if (
                    value is None
                    or (value,) in known.get(owner, {})
                    or (owner in rows and (value,) in rows[owner].values)
                ):
                    continue
                if owner in ("bus", "model") and name not in (*OF_THEIR_OWN, "record"):
                    made = rows.setdefault(owner, Rows())
                    made.values[(value,)] = {owner: value}
                    made.origins[(value,)] = rows[name].origins[key][-1:]
                    continue
                _drop(
                    rows,
                    name,
                    key,
                    sheets,
                    f"there is no {owner} {value!r}",
                    f"correct it, or take in the list that has this {owner} first",
                )
                refused = True
                break
    return refused


def refuse_second_resident(rows: dict[str, Rows], known: Known, sheets: dict[int, Taken]) -> None:
    """Refuse a motor or device at a position where another one stands."""
    for name in ASSETS:
        if name not in rows:
            continue
        final = {k: dict(v) for k, v in known.get(name, {}).items()}
        for key, values in rows[name].values.items():
            final.setdefault(key, {}).update(values)
        at: dict[str, Key] = {}
        planned = rows[name].values
        for key in sorted(final, key=lambda k: k in planned):
            values = final[key]
            tag = values.get("tag")
            if tag is None or values.get(f"{name}_status") == "scrapped":
                continue
            other = at.setdefault(tag, key)
            if other != key and key in planned:
                cause = f"{name} {other[0]!r} is installed at {tag} already; this row puts {key[0]!r} there"
                remedy = "say where the first one went: its tag, or its status, in the same list"
                _drop(rows, name, key, sheets, cause, remedy)


def _drop(rows: dict[str, Rows], name: str, key: Key, sheets: dict[int, Taken], cause: str, remedy: str) -> None:
    """Take a row out of the plan; what hangs on it goes with it when references are checked."""
    del rows[name].values[key]
    for origin in rows[name].origins.pop(key):
        _refuse(sheets[origin.sheet], origin, name, key, cause, remedy)


def _refuse(taken: Taken, origin: Origin, name: str, key: Key, cause: str, remedy: str) -> None:
    """Refuse the row of a sheet, once, however many tables it was to fill."""
    if origin.row not in taken.rows_refused | taken.rows_asked:
        index = bisect_left(taken.body.rows, origin.row)
        taken.refuse("", index, next((part for part in key if part is not None), ""), cause, remedy)
