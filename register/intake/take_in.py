"""A plant's own list into the register: planned first, then applied in one transaction."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from pathlib import Path

from sqlite_utils import Database

from register.columns import TABLES
from register.errors import IntakeError, Problem, SheetError
from register.intake import account, links, long_form, not_lists, questions, validate
from register.intake.diff import compare, known_rows
from register.intake.mapping import Mapping, SheetAnswers, load, understood
from register.intake.mapping_draft import draft
from register.intake.match import find
from register.intake.merge_rows import merge_rows
from register.intake.parse import finish, skipped, take_apart
from register.intake.plan import Applied, Change, Doubt, Key, Plan, Rows
from register.intake.refused import refused_book
from register.intake.sheet import Sheet, read_all
from register.intake.sheet import number as column_of
from register.intake.taken import Taken
from register.intake.write import apply, state
from register.store.database import opened
from register.store.output_file import laid_aside, refuse_taken

__all__ = ["apply", "ask_all", "plan_intake", "take_in"]


def plan_intake(db: Database, sheets: Iterable[Sheet], mapping: Mapping | None = None) -> Plan:
    """What taking these sheets in would do; nothing is written.

    Raises IntakeError when none of them has a row of headings.
    """
    sheets, mapping = tuple(map(long_form.turned, sheets)), mapping or Mapping()
    taken, notes = _take_all(db, sheets, mapping)
    validate.choose_voltage(db, taken)
    residents = find(db, taken)
    rows: dict[str, Rows] = {}
    for one in taken:
        merge_rows(one, rows, residents)
    validate.refuse_cells(taken)
    known = {name: known_rows(db, name, residents) for name in _wanted(rows)}
    by_number = {one.number: one for one in taken}
    validate.refuse_look_alikes(db, rows, by_number)
    validate.refuse_second_resident(rows, known, by_number)
    # A row that goes takes others with it: settings of a device, records at a position that is refused.
    while validate.refuse_unknown(rows, known, by_number):
        pass
    added, changed, unchanged = _compared(rows, known, by_number)
    cells = _account(sheets, taken, mapping, account.landed(rows, added, tuple(changed)))
    return Plan(
        sheets=sheets,
        rows={name: rows[name] for name in TABLES if name in rows},
        added=added,
        changed=tuple(changed),
        unchanged=unchanged,
        renamed=tuple(residents.renamed),
        refused=tuple(r for one in taken for r in one.refused),
        doubts=tuple(questions.grouped(d for one in taken for d in one.doubts)),
        notes=tuple(notes + [n for one in taken for n in one.notes]),
        skipped=skipped(taken),
        headings={t.number: (t.header.row, ()) for t in taken},
        mapping_draft=_draft(sheets, mapping, by_number),
        state=state(db),
        cells=cells,
    )


def _account(
    sheets: tuple[Sheet, ...], taken: list[Taken], mapping: Mapping, landed: account.Landed
) -> dict[str, Counter[str]]:
    """How the filled cells of each sheet end; a sheet passed over has none with a value, one skipped is set aside."""
    read = {one.number: one for one in taken}
    found: dict[str, Counter[str]] = {}
    for number, sheet in enumerate(sheets):
        name = f"{sheet.file} {sheet.name}" if sheet.is_book else sheet.file
        if number in read:
            ends = account.settle(read[number], landed.get(number, {}))
        else:
            end = account.ASIDE if mapping.of(sheet.name).skip else account.NO_VALUE
            ends = +Counter({end: account.count(sheet)})
        found[name] = found.get(name, Counter()) + ends
    return found


def _draft(sheets: tuple[Sheet, ...], mapping: Mapping, taken: dict[int, Taken]) -> str:
    """The mapping to save; a question about several sheets stands under `*`, in the last place."""
    doubts = questions.grouped(d for one in taken.values() for d in one.doubts)
    by_sheet: dict[str, list[Doubt]] = {}
    for doubt in doubts:
        by_sheet.setdefault(doubt.sheet, []).append(doubt)
    parts = []
    for name in dict.fromkeys(sheet.name for sheet in sheets):
        used = [line for number, one in taken.items() if sheets[number].name == name for line in one.used]
        answers = mapping.of(name)
        if used or answers.skip or name in by_sheet:
            parts.append((name, answers, list(dict.fromkeys(used)), by_sheet.get(name, [])))
    if "*" in by_sheet:
        parts.append(("*", SheetAnswers(), [], by_sheet["*"]))
    return draft(parts)


def _take_all(db: Database, sheets: tuple[Sheet, ...], mapping: Mapping) -> tuple[list[Taken], list[str]]:
    row = db.execute("SELECT practice FROM site").fetchone()
    practice = row[0] if row else ""
    taken, notes = [], []
    for number, sheet in enumerate(sheets):
        notes += [f"{sheet.file}: {note}" for note in sheet.notes]
        answers = mapping.of(sheet.name)
        if answers.skip:
            notes.append(f"{sheet.file} {sheet.name!r}: skipped, the mapping says so")
            continue
        one = take_apart(number, sheet, answers, practice=practice)
        if one is None or not (answers.header_row or not_lists.is_list(one)):
            notes.append(f"{sheet.file} {sheet.name!r}: no row of headings; passed over")
        else:
            taken.append(one)
    if not taken:
        files = dict.fromkeys(sheet.file for sheet in sheets)
        raise SheetError(
            Problem(
                "no row of headings found: nothing in it is like a motor list",
                "name the heading row in a mapping (`header row: 4`)",
                file,
            )
            for file in files
        )
    links.join(db, taken)
    for one in taken:
        finish(one, mapping.of(one.sheet.name))
    return taken, notes


def _wanted(rows: dict[str, Rows]) -> set[str]:
    owners = {c.references for name in rows for c in TABLES[name].columns if c.references}
    return set(rows) | owners


def _compared(
    rows: dict[str, Rows], known: validate.Known, sheets: dict[int, Taken]
) -> tuple[dict[str, list[Key]], list, Counter[str]]:
    added: dict[str, list[Key]] = {}
    changed: list[Change] = []
    unchanged: Counter[str] = Counter()
    for name in TABLES:
        if name in rows:
            mine = rows[name]

            def place(table: str, key: Key, column: str, mine: Rows = mine) -> str:
                origin = next((o for o in reversed(mine.origins[key]) if column in o.letters), mine.origins[key][-1])
                sheet, letter = sheets[origin.sheet].sheet, origin.letters.get(column, "")
                return (
                    sheet.place(origin.row, column_of(letter))
                    if letter
                    else f"{sheet.file} row {sheet.line(origin.row)}"
                )

            added[name], changes, unchanged[name] = compare(name, mine, known[name], place)
            changed += changes
    return added, changed, unchanged


def ask_all(
    register: Path, sheets: Iterable[Path], mapping: Path | None, reply: Callable[[Doubt], str | None]
) -> tuple[str, int]:
    """The text of a mapping with a person's replies to every question, and how many stay open.

    `reply` gives the line of the mapping that answers a question, or None to leave it open. An answer may bring
    further questions; they are asked too.
    """
    cells = read_all(sheets)
    answers = load(mapping) if mapping else Mapping()
    asked: set[tuple[str, str]] = set()
    with opened(register) as db:
        while True:
            plan = plan_intake(db, cells, answers)
            text, replied = plan.mapping_draft, False
            for doubt in plan.doubts:
                known = (doubt.sheet, doubt.line)
                line = None if known in asked else reply(doubt)
                asked.add(known)
                if line is not None:
                    text, replied = text.replace(f"#? {doubt.answer}\n", f"{line}\n", 1), True
            if not replied:
                return text, len(plan.doubts)
            answers = understood(text, "the answers")


def take_in(
    register: Path,
    sheets: Iterable[Path],
    *,
    mapping: Path | None = None,
    save_mapping: Path | None = None,
    refused: Path | None = None,
    dry_run: bool = False,
    all_or_nothing: bool = False,
    reason: str,
    author: str = "",
) -> tuple[Plan, Applied | None]:
    """Read files, plan, apply; the plan and what was written (None for a dry run).

    Raises SheetError for files that cannot be read, all at once; IntakeError for a mapping that is
    not sound, and for anything refused when `all_or_nothing`; StartrollError where `save_mapping`
    or `refused` would lie over another file.
    """
    refuse_taken(save_mapping, refused)
    cells = read_all(sheets)
    answers = load(mapping) if mapping else None
    with opened(register, write=not dry_run) as db:
        plan = plan_intake(db, cells, answers)
        files = {save_mapping: plan.mapping_draft.encode()} if save_mapping else {}
        if refused and plan.refused:
            files[refused] = refused_book(plan)
        # They get their names after the register was written: one of an attempt that was cut off would stand in the
        # way of the next, and that makes them again, whether the register was written or not.
        with laid_aside(files) as put_there:
            stays = dry_run or (all_or_nothing and plan.problems())
            applied = None if stays else apply(db, plan, author=author, reason=reason)
            put_there()
        if all_or_nothing and plan.problems():
            raise IntakeError(plan.problems(), summary="Nothing was taken in.")
        return plan, applied
