"""The tables of a summary: what one register says of itself, in rows that any program reads.

Every table begins with `plant`, which is where the file lies in a short form, and `day`, the day as on which it was
judged; both are the folders of the Parquet files, as `plant=…/day=…`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pyarrow

# A summary of another form is made anew.
FORM = 1
KEYS = ("plant", "day")


@dataclass(frozen=True, slots=True)
class Field:
    """One column: its kind (text, whole, real, yes), and what it says."""

    name: str
    kind: str
    sentence: str


def _fields(text: str) -> tuple[Field, ...]:
    """Columns written a line each: name, kind, sentence."""
    rows = (line.split(None, 2) for line in text.strip().splitlines())
    return tuple(Field(name, kind, sentence) for name, kind, sentence in rows)


TABLES: dict[str, tuple[Field, ...]] = {
    "plants": _fields(
        """
        place text where the register lies
        site text name of the plant; blank where it could not be judged
        practice text us or iec
        currency text currency of its prices
        time_zone text time zone of the site, by which its day is told
        register_id text identity of the register, which its copies share
        reason text why it could not be judged; blank where it was
        remedy text what to do about that
        notes text what else is odd about the file
        positions whole positions
        buses whole buses
        in_store whole devices in store
        rules whole rules in force
        verdicts whole verdicts, of all outcomes
        records_since text day of its first event, from which failures are counted
        own_rules text hash of the site's own rules; blank where it has none
        judged_by text hash of all that it was judged by: rules, limits, tables, program, options
        register_hash text SHA-256 of the register's file
        size whole bytes of the file
        stamp text size, time and header of the file when it was read
        form whole form of the register; an older one was brought up to date in a copy
        program text version of the program
        """
    ),
    "verdicts": _fields(
        """
        by text own: the plant's rules and limits; fleet: those given for all plants
        subject text position, bus or device in store
        rule text id of the rule
        grade text major, minor or observation
        harm text people, fire, machine, production or records
        area text area of the plant; (lineups) and (in store) for what is no position
        passed whole verdicts that passed
        failed whole verdicts that failed
        cant_tell whole verdicts that are unknown
        inapplicable whole verdicts where the rule does not apply
        provisional whole decided verdicts that assume a value
        """
    ),
    "findings": _fields(
        """
        by text own or fleet, as in verdicts
        subject text position, bus or device in store
        rule text id of the rule
        grade text major, minor or observation
        harm text people, fire, machine, production or records
        tag text tag of the position, name of the bus, serial of the device
        area text area of the plant
        criticality text critical, essential or ordinary; blank where unknown
        margin real distance from the limit; negative where it is exceeded
        margin_unit text unit of the margin
        provisional yes the verdict assumes a value
        accepted yes a concession for it is approved and has not expired
        """
    ),
    "models": _fields(
        """
        maker text maker of the device
        model text catalogue number
        kind text kind of device
        lifecycle text current, ending or withdrawn; blank where unknown
        successor text catalogue number that replaces it
        lead_time_days real days from order to delivery
        price real price of one, in the plant's currency
        positions whole positions where it is installed
        critical whole those of them that are critical
        failed whole devices of it that have failed and are not scrapped
        in_store whole devices of it in store
        withdrawn yes it can no longer be bought
        """
    ),
    "ages": _fields(
        """
        maker text maker of the device
        model text catalogue number
        kind text kind of device
        made_year whole year in which it was made; blank where unknown
        devices whole devices that are not scrapped
        """
    ),
    "failures": _fields(
        """
        kind text kind of device
        high_voltage yes it stands on more than 1000 V
        maker text maker of the device
        model text catalogue number
        year whole calendar year; blank for devices out of order, of which nobody entered when they failed
        failures whole failures of such devices that year
        doubtful whole failures that may have been theirs: no device is named
        device_years real years that such devices were in service that year, since events are entered
        """
    ),
    "settings": _fields(
        """
        maker text maker of the device
        model text catalogue number
        setting text name of the setting
        value text its value
        devices whole devices that are set so
        """
    ),
    "unknown": _fields(
        """
        field text blank field
        table_name text table that it belongs to
        positions whole positions where it is blank, and a verdict that is unknown reads it
        verdicts whole those verdicts
        majors whole those of them that are majors
        """
    ),
    "audits": _fields(
        """
        audited_on text day of an audit that the register keeps
        positions whole positions that it judged
        majors whole majors that failed
        failed whole verdicts that failed
        cant_tell whole verdicts that were unknown
        asked whole verdicts where the rule applies, or may
        rules whole rules in force
        rules_hash text hash of the rules and limits in force
        """
    ),
    "rules": _fields(
        """
        rule text id of a rule of the site's own
        title text what it requires
        title_failed text what is wrong where it fails
        """
    ),
}


def schema(name: str, *, keys: bool = False) -> pyarrow.Schema:
    """The columns of a table for Arrow; with its `keys` too, which in files are the folders' names."""
    import pyarrow as pa

    kinds = {"text": pa.string(), "whole": pa.int64(), "real": pa.float64(), "yes": pa.bool_()}
    own = [(field.name, kinds[field.kind]) for field in TABLES[name]]
    return pa.schema([*((key, pa.string()) for key in KEYS if keys), *own])


def as_arrow(name: str, rows: list[tuple]) -> pyarrow.Table:
    """Rows, each in the order of the table's columns, as an Arrow table."""
    import pyarrow as pa

    made = schema(name)
    columns = list(zip(*rows, strict=True)) if rows else [()] * len(made)
    return pa.Table.from_arrays(
        [pa.array(values, field.type) for values, field in zip(columns, made, strict=True)], schema=made
    )


def as_parquet(table: pyarrow.Table) -> bytes:
    """An Arrow table as the bytes of a Parquet file."""
    import pyarrow as pa
    from pyarrow import parquet

    sink = pa.BufferOutputStream()
    parquet.write_table(table, sink, compression="snappy", write_statistics=False)
    return sink.getvalue().to_pybytes()
