"""A review pack judged again by the program, from the tables and rules that it holds: what comes out otherwise.

That shows a pack whose results were altered together with its manifest. It does not show altered tables: hold these to
the register, or to the hash that was noted.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import register
from register.audit.report import Report
from register.errors import PackError, Problem
from register.reports import json_data
from register.reports.publish import rendered
from register.text import counted

REPORT, LOG = "report.json", "report.sarif"
MOST_TOLD = 20
SIGNED = "go back to the copy that was signed"
# Where a value was entered is in the register's history, which a pack has not.
NOT_IN_A_PACK = {"origin"}
# What tells the rows of a list apart, the first that all of them have.
KEYS = (("tag", "rule"), ("rule",), ("column", "tags"), ("clause",), ("column",), ("area",), ("bus",), ("name",))


@dataclass(frozen=True, slots=True)
class Judged:
    """What a pack says that it was judged by: tables by name, rules by path, the day, the register's name."""

    tables: Mapping[str, bytes]
    rules: Mapping[str, bytes]
    register: str
    today: date
    measured_only: bool


def judged(path: Path, files: Mapping[str, bytes]) -> Judged:
    """What is to be judged again of a pack's files; PackError where its report is none."""
    scope = _recorded(path, files)["scope"]
    return Judged(
        {Path(name).stem: data for name, data in files.items() if name.startswith("register/")},
        {name.removeprefix("rules/"): data for name, data in files.items() if name.startswith("rules/")},
        register=scope["register"],
        today=date.fromisoformat(scope["today"]),
        measured_only=scope["measured_only"],
    )


def compare(path: Path, files: Mapping[str, bytes], again: Report, other_rules: Sequence[str]) -> list[str]:
    """Sentences on the rules of a pack whose results come out again; PackError with each difference where they do not.

    Parameters
    ----------
    files : those of a pack that `verify` found whole, by name.
    again : the report of the same tables by the same rules, made by this program.
    other_rules : files of its rules that are not as in this program.
    """
    was = _recorded(path, files)
    now = json.loads(json_data.written(json_data.report(again)))
    log = json.loads(rendered(again, "sarif"))
    notes = [*_notes(was["scope"], other_rules)]
    found = [*_differences(REPORT, _opened(was), _opened(now))]
    if not found:
        found = [*_differences(LOG, _json(path, files, LOG), log)]
    if found:
        count = counted(len(found), "difference")
        summary = f"{count} between the pack's results and its own data, judged again"
        told = [Problem(text, "", str(path)) for text in found[:MOST_TOLD]]
        raise PackError(told, summary="\n".join((summary, *notes)))
    return notes


def _recorded(path: Path, files: Mapping[str, bytes]) -> dict[str, Any]:
    was = _json(path, files, REPORT)
    try:
        date.fromisoformat(was["scope"]["today"])
        whole = isinstance(was["scope"]["register"], str) and isinstance(was["scope"]["measured_only"], bool)
    except (KeyError, TypeError, ValueError):
        whole = False
    if not whole or was.get("form") != json_data.FORM:
        raise PackError(Problem(f"{REPORT} is no report of this form", SIGNED, str(path)))
    return was


def _json(path: Path, files: Mapping[str, bytes], name: str) -> Any:
    try:
        return json.loads(files[name])
    except (KeyError, ValueError, RecursionError):
        raise PackError(Problem(f"{name} is missing, or no JSON", SIGNED, str(path))) from None


def _notes(scope: Mapping[str, Any], other_rules: Sequence[str]) -> Iterator[str]:
    if scope.get("program") != register.__version__:
        told = f"It was judged by startroll {scope.get('program')}, and this is {register.__version__}"
        yield f"{told}: another version may judge otherwise"
    if other_rules:
        more = ", …" if len(other_rules) > 5 else ""
        told = ", ".join(other_rules[:5])
        yield f"Its rules are not those of this program alone: {counted(len(other_rules), 'file')}, {told}{more}"


def _opened(report: dict[str, Any]) -> dict[str, Any]:
    """The report with its verdicts first, by rule and not as a letter each, then its findings."""
    try:
        rules = [row["rule"] for row in report["rules"]]
        verdicts = {tag: dict(zip(rules, letters, strict=True)) for tag, letters in report["verdicts"].items()}
    except (KeyError, TypeError, ValueError, AttributeError):
        return report
    return {"verdicts": verdicts, "findings": report.get("findings")} | report | {"verdicts": verdicts}


def _differences(place: str, was: Any, now: Any) -> Iterator[str]:
    """A sentence for each place where two trees of JSON are not the same."""
    if isinstance(was, dict) and isinstance(now, dict):
        for name in [*was, *(name for name in now if name not in was)]:
            if name in NOT_IN_A_PACK:
                continue
            if name not in was or name not in now:
                yield f"{place} {name}: {'only in the pack' if name in was else 'not in the pack'}"
            else:
                yield from _differences(f"{place} {name}", was[name], now[name])
    elif isinstance(was, list) and isinstance(now, list):
        yield from _of_lists(place, was, now)
    elif was != now or type(was) is not type(now):
        yield f"{place}: {_short(was)} in the pack, judged again {_short(now)}"


def _of_lists(place: str, was: list[Any], now: list[Any]) -> Iterator[str]:
    keys = next((keys for keys in KEYS if _told_apart(was, keys) and _told_apart(now, keys)), None)
    if keys:
        yield from _differences(place, _by(was, keys), _by(now, keys))
    elif len(was) != len(now):
        yield f"{place}: {len(was)} in the pack, judged again {len(now)}"
    else:
        for number, (one, other) in enumerate(zip(was, now, strict=True), 1):
            yield from _differences(f"{place} {number}", one, other)


def _told_apart(rows: list[Any], keys: tuple[str, ...]) -> bool:
    return all(isinstance(row, dict) and set(keys) <= row.keys() for row in rows) and len(_by(rows, keys)) == len(rows)


def _by(rows: list[Any], keys: tuple[str, ...]) -> dict[str, Any]:
    return {" ".join(str(row[key]) for key in keys): row for row in rows}


def _short(value: Any) -> str:
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 80 else f"{text[:77]}…"
