"""What share of the demo plant's can't-tells answers decide, with the true values of the sample.

Run by hand: `python benchmarks/bench_collect.py`.

Readings: the first of `startroll to-collect` are entered with what is true, in the order listed; what the sample has no
true value of is passed over and not counted. Every cell counts as a reading, also where two are asked together.

Group answers: groups are proposed as `startroll answer --propose` does, the first one is looked at, and the next
proposed. Of a group's columns a person answers those that have one value at most blanks; positions with another value,
or with none that is known, are named as exceptions, at most five of them in an answer and no more than have the value.
An answer without an exception is counted too. The true values are those from which the sample's holes are dug.
"""

import sys
import tempfile
from collections import Counter
from contextlib import contextmanager
from datetime import date
from itertools import islice
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "samples"), str(ROOT / "tests" / "helpers")]

import best_questions  # noqa: E402
import make  # noqa: E402
from sample_plant import Sample  # noqa: E402

from register.audit.findings import unknowns  # noqa: E402
from register.audit.session import AuditRequest, session  # noqa: E402
from register.columns import COLUMNS  # noqa: E402
from register.facts.whatif import Variant, entered  # noqa: E402
from register.planning.collect.questions import to_collect  # noqa: E402
from register.planning.group_answers import answer_group  # noqa: E402
from register.planning.group_filter import select  # noqa: E402
from register.planning.group_proposals import EXCEPTIONS, proposals  # noqa: E402
from register.planning.group_request import GroupAnswer  # noqa: E402
from register.planning.trials import Trials  # noqa: E402
from register.rulebook.model import Outcome  # noqa: E402

DAY = date(2026, 11, 25)
ANSWERS, READINGS = 20, 50
LOOKED_AT = 400


@contextmanager
def plant():
    """The demo plant's register, to be written."""
    with (
        tempfile.TemporaryDirectory() as folder,
        session(Sample("demo-plant", Path(folder)).path, AuditRequest(today=DAY), write=True) as now,
    ):
        yield now


def decided(now, cells, known):
    """How many verdicts, of all that are unknown, are decided with these cells (tag, column) as they are true."""
    trials = Trials(now.db, {tag for tag, _ in cells}, pack=now.pack, today=DAY)
    changes: dict[str, dict] = {}
    for tag, name in cells:
        changes.setdefault(tag, {})[name] = known[tag, name]
    after = trials.judge([Variant(tag, own) for tag, own in changes.items()])
    before = trials.judge([Variant(tag) for tag in changes])
    unknown = before.verdicts.outcomes == Outcome.CANT_TELL
    return int((unknown & (after.verdicts.outcomes != Outcome.CANT_TELL)).sum())


def readings(known):
    """What the first readings decide, in each order."""
    with plant() as now:
        whole = len(list(now.audit().having(Outcome.CANT_TELL)))
        print(f"{whole} verdicts are unknown")
        for title, order in (
            ("who can be hurt first, then grade and harm", {}),
            ("grade and harm", {"people_first": False}),
            ("number of verdicts (--most-first)", {"people_first": False, "counted": True}),
        ):
            asked = to_collect(now, **order).questions
            cells = [(tag, one.column) for one in asked for tag in one.tags[:1]]
            true = list(islice((at for at in cells if known.get(at) is not None), READINGS))
            passed_over = cells.index(true[-1]) + 1 - READINGS
            made = decided(now, true, known)
            print(f"  first {READINGS} readings by {title}: {made} = {100 * made / whole:.1f} %", end="")
            print(f"; {passed_over} passed over, of which the sample has no true value")


def answer(now, group, known):
    """What a person says of a group: values by column, and exceptions; None where nothing is to be said."""
    chosen = select(now.db, group.where, today=DAY).tags
    rows = entered(now.db, chosen)
    parts = []
    for column in (one.column for one in group.columns):
        true = {tag: known.get((tag, column)) for tag in chosen if rows[tag][column] is None}
        counts = Counter(value for value in true.values() if value is not None)
        if counts:
            value, count = counts.most_common(1)[0]
            others = {tag: own for tag, own in true.items() if own != value}
            if count >= max(2, len(others)):
                parts.append((column, value, others))
    values, excepted = {}, {}
    for column, value, others in sorted(parts, key=lambda part: len(part[2])):
        if len(excepted.keys() | others.keys()) <= EXCEPTIONS:
            values[column] = typed(column, value)
            for tag, own in others.items():
                excepted.setdefault(tag, {})[column] = own
    # A tag of which one column is not known is left alone as a whole.
    told = {
        tag: {} if None in own.values() else {name: typed(name, value) for name, value in own.items()}
        for tag, own in excepted.items()
    }
    return GroupAnswer(values, group.where, excepted=told) if values else None


def typed(column, value):
    """A value as a person types it, with its unit."""
    return f"{value} {COLUMNS[column].unit}".strip()


def groups(known):
    """Answer group after group, and print what each decides."""
    with plant() as now:
        first = set(now.audit().having(Outcome.CANT_TELL))
        seen: set[tuple[str, str]] = set()
        answers = exceptions = looked_at = 0
        while answers < ANSWERS and looked_at < LOOKED_AT:
            found = proposals(now, most=1, without=seen)
            if not found:
                break
            seen.update((column.column, found[0].where) for column in found[0].columns)
            looked_at += 1
            asked = answer(now, found[0], known)
            if asked is None:
                continue
            made = answer_group(now, asked, reason="true value")
            answers, exceptions = answers + 1, exceptions + len(asked.excepted)
            left = set(now.audit().having(Outcome.CANT_TELL))
            print(
                f"{answers:3}  proposal {looked_at:3}  {100 * len(first - left) / len(first):5.1f} %"
                f"  decided {made.verdicts.decided:4}  opened {made.verdicts.opened:3}"
                f"  excepted {len(asked.excepted)}  {asked.told[:150]}"
            )
        print(f"{answers} answers, {exceptions} exceptions")
        rest(now, first - (first - left), known)


def rest(now, left, known):
    """Why what is left stays unknown."""
    why: Counter[str] = Counter()
    for one in unknowns(now.db, now.audit()):
        if (one.tag, one.rule) in left:
            true = [known.get((one.tag, name)) for name in one.fields]
            if any(name.endswith(("_on", "_result")) and COLUMNS[name].table == "record" for name in one.fields):
                why["a check, with a day of its own at each position"] += 1
            elif None in true:
                why["the sample has no true value of a column that it names"] += 1
            else:
                why["values that differ from motor to motor"] += 1
    print(f"{len(left)} stay unknown:", *(f"  {count:4}  {reason}" for reason, count in why.most_common()), sep="\n")


def main() -> None:
    known = best_questions.truth(make.DEMO, make.demo_faults.FAULTS + make.newer_faults.FAULTS)
    readings(known)
    groups(known)


if __name__ == "__main__":
    main()
