"""Columns of a table for which a sheet has no key: whose values they are is asked, once for a sheet."""

from __future__ import annotations

from register.columns import CHECKS, COLUMNS, TABLES
from register.intake.data_rows import starts_with
from register.intake.headings import STOCK, UNSURE
from register.intake.mapping import heading_line, quoted
from register.intake.taken import Taken

CHECK_NAMES = {c.name for c in CHECKS}

# What has to stand beside a column for its row to be known by.
# fmt: off
KNOWN_BY = {
    "site": ("site",), "bus": ("bus",), "position": ("tag",), "motor": ("motor", "tag"),
    "model": ("model", "device", "tag"), "device": ("device", "tag"),
    "setting": ("setting_recorded_on",),
    "protection": ("tag",), "bypass": ("tag",), "control": ("tag",),
    "record": ("record_kind", "done_on"), "event": ("happened_on", "failure_mode"),
    "concession": ("rule",), "action": ("against_rule",),
}
# fmt: on
ALSO_TAG = {"event", "record"}


def only_checks(taken: Taken) -> bool:
    """True for a sheet in the register's own form that holds nothing but checks: its `bus` is what a check is about.

    In a plant's own list, and beside a tag, that column says what feeds the position.
    """
    names = {c.name for c in TABLES["record"].columns}
    if not taken.header.verbatim or "record_kind" not in taken.reads or not set(taken.reads) <= names:
        return False
    both = [taken.reads[n].values for n in ("tag", "bus") if n in taken.reads]
    return len(both) < 2 or not any(None not in pair for pair in zip(*both, strict=True))


def take_out(taken: Taken, name: str) -> None:
    """Leave a column out until its question is answered."""
    rows = {row for row, value in enumerate(taken.reads.pop(name).values) if value is not None}
    for index, names in taken.fed.items():
        if name in names and len(names) > 1:  # what else the cell says is taken; its value is not
            taken.cells_asked.setdefault(index, set()).update(rows)
    taken.blocked |= {index for index, names in taken.fed.items() if name in names and len(names) == 1}


def ask(taken: Taken) -> None:
    """Columns of a table for which the sheet has no key: whose values are they?"""
    homeless: dict[str, list[str]] = {}
    for name in list(taken.reads):
        table = COLUMNS[name].table
        known = any(k in taken.reads for k in KNOWN_BY[table])
        known |= table == "device" and bool(taken.in_store)
        known &= table not in ALSO_TAG or "tag" in taken.reads or (table == "record" and only_checks(taken))
        if not known and name not in CHECK_NAMES and taken.letters.get(name):
            homeless.setdefault(table, []).append(name)
    for names in homeless.values():
        for name in names:
            take_out(taken, name)
    if settings := homeless.pop("setting", []):
        question = "on which day were the settings read? Without it they are not taken"
        _ask_whose(taken, settings, question, ("setting_recorded_on",), "constants: {setting_recorded_on: 2026-03-01}")
    if "tag" in taken.reads and (bus := homeless.pop("bus", [])):
        named = taken.sheet.name if starts_with(taken.sheet.name, "group") else "NAME"
        question = "not taken, no column gives the bus of these rows; is it one for all of them?"
        _ask_whose(taken, bus, question, (named,), f"constants: {{bus: {quoted(named)}}}")
    if homeless and "bus" in taken.reads and not any(COLUMNS[n].table == "bus" and n != "bus" for n in taken.reads):
        take_out(taken, "bus")  # a list of motors: alone it would name buses that nothing stands on
    if any(h.state == UNSURE and h.candidates[:1] == ("tag",) for h in taken.header.headings):
        return  # whose values they are is asked with that heading
    if homeless:
        lacks = tuple(dict.fromkeys(_lacks(taken, table) for table in homeless))
        means = " or ".join(f"the {COLUMNS[name].sentence}" for name in lacks)
        add = " or ".join(lacks)
        question = f"not taken, no column of this sheet gives {means}; add one headed {add}, name the one"
        names = [name for some in homeless.values() for name in some]
        rows_named = _names_rows(taken) if "tag" in lacks else ""
        if rows_named:
            _ask_whose(
                taken, names, f"{question} that does", ("tag",), heading_line(rows_named, "tag"), under="headings"
            )
            return
        _ask_whose(taken, names, f"{question} that does, or skip the sheet", ("skip the sheet", *lacks), "skip: yes")


def _names_rows(taken: Taken) -> str:
    """The heading of the machines' names, where each row of a list of motors has another."""
    heading = next((h for h in taken.header.sure() if h.meant.name == "description"), None)
    plate = {h.meant.name for h in taken.header.sure()} & {"power_kw", "fla_a", "speed_rpm", "motor_voltage_v"}
    if heading is None or len(plate) < 2 or any(h.kept == STOCK for h in taken.header.headings):
        return ""
    names = taken.own[heading.index].values
    return heading.text if names and None not in names and len(set(names)) == len(names) else ""


def _lacks(taken: Taken, table: str) -> str:
    """The column that a sheet would need for the rows of a table."""
    if table in ALSO_TAG and "tag" not in taken.reads:
        return "tag"
    return next((k for k in KNOWN_BY[table] if k not in taken.reads), "tag")


def _ask_whose(
    taken: Taken, names: list[str], question: str, choices: tuple[str, ...], answer: str, *, under: str = "sheet"
) -> None:
    by_name = {n: h for h in taken.header.sure() for n in taken.fed.get(h.index, ())}
    headings = list(dict.fromkeys(by_name[n].text for n in names if n in by_name))
    where = taken.sheet.address(taken.header.row, min((by_name[n].index for n in names if n in by_name), default=0))
    texts = ", ".join(map(repr, headings)) or ", ".join(names)
    taken.ask(where, headings[0] if headings else "", f"{texts}: {question}", choices, answer, under=under)
