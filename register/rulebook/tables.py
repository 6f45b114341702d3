"""The tables that rules are run on, and what an expression over them may use."""

from __future__ import annotations

from register import columns

SQL_TYPE = {"text": "TEXT", "date": "TEXT", "real": "REAL", "integer": "INTEGER"}
FUNCTIONS = ("abs", "min", "max", "round", "sqrt", "julianday", "date", "lower", "upper", "instr", "length")
CHECK_DAYS = frozenset(
    name for name, column in columns.FACTS.items() if column.kind == "date" and column.table == "record"
)


def facts_table(subject: str = "position") -> str:
    """The statement that makes an empty table of facts, typed as the real one."""
    about = columns.SUBJECTS[subject]
    typed = ", ".join(f"{c.name} {SQL_TYPE[c.kind]}" for c in about.columns.values())
    return f"CREATE TABLE {about.relation} ({typed}, stand_ins INTEGER NOT NULL DEFAULT 0) STRICT"
