"""What share of the demo plant's can't-tells group answers decide, with the true values of the sample.

Run by hand: `python benchmarks/bench_collect.py`. Groups are proposed as `startroll answer --propose` does, the first
one is looked at, and the next proposed. It is answered where the true values of all blanks that its filter would
fill are known and agree; else it is passed over. The second count lets a person who knows the plant except a few
positions by tag, whose true value is another one or was never known: `… AND tag <> 'P-1'`. The true values are
those from which the sample's holes are dug; where the sample itself never had a value, there is no answer.
"""

import sys
import tempfile
from collections import Counter
from copy import deepcopy
from datetime import date
from pathlib import Path

ROOT = Path(__file__).parent.parent
sys.path[:0] = [str(ROOT / "samples"), str(ROOT / "tests" / "helpers")]

import make  # noqa: E402
from sample_plant import Sample  # noqa: E402

from register.audit.session import AuditRequest, session  # noqa: E402
from register.planning.group_answers import GroupAnswer, answer_group  # noqa: E402
from register.planning.group_filter import select  # noqa: E402
from register.planning.group_proposals import proposals  # noqa: E402
from register.rulebook.model import Outcome  # noqa: E402

DAY = date(2026, 11, 25)
ANSWERS = 20
LOOKED_AT = 400
MOST_EXCEPTED = 12


def truth():
    """(tag, column) → value of the demo plant before any hole is dug."""
    kept = {}

    def dig(places, catalogue, rng, *, share):
        for place in deepcopy(places):
            of_model = deepcopy(catalogue[place["model"]])
            kept.update({(place["tag"], name): value for name, value in (of_model | place).items()})
        real(places, catalogue, rng, share=share)

    real, make.dig = make.dig, dig
    make.plant(make.DEMO, make.demo_faults.FAULTS + make.newer_faults.FAULTS)
    make.dig = real
    return kept


def agreed(now, group, known, most_excepted):
    """The true value of the blanks that the group's filter would fill, and the tags for which it is another one.

    None as the value where more than so many are to be excepted, or fewer than two are left.
    """
    chosen = select(now.db, group.where, today=DAY).tags
    held = dict(now.db.conn.execute(f"SELECT tag, {group.column} FROM facts"))
    values = {tag: known.get((tag, group.column)) for tag in chosen if held[tag] is None}
    counts = Counter(value for value in values.values() if value is not None)
    value = max(counts, key=counts.get, default=None)
    others = [tag for tag in values if values[tag] != value]
    fits = len(others) <= most_excepted and len(values) - len(others) >= 2
    return (value if fits else None), others


def count(known, most_excepted):
    """Answer group after group, and print what each decides."""
    with (
        tempfile.TemporaryDirectory() as folder,
        session(Sample("demo-plant", Path(folder)).path, AuditRequest(today=DAY), write=True) as now,
    ):
        first = set(now.audit().having(Outcome.CANT_TELL))
        print(f"{len(first)} verdicts are unknown on {len(now.audit().verdicts.tags)} positions")
        seen: set[tuple[str, str]] = set()
        answers = 0
        while answers < ANSWERS and len(seen) < LOOKED_AT:
            found = proposals(now, most=1, without=seen)
            if not found:
                break
            group = found[0]
            seen.add((group.column, group.where))
            value, others = agreed(now, group, known, most_excepted)
            if value is None:
                continue
            answers += 1
            where = " AND ".join([group.where, *(f"tag <> '{tag}'" for tag in others)])
            asked = GroupAnswer(group.column, f"{value} {group.unit}".strip(), where)
            made = answer_group(now, asked, reason="true value")
            left = set(now.audit().having(Outcome.CANT_TELL))
            print(
                f"{answers:3}  proposal {len(seen):3}  {100 * len(first - left) / len(first):5.1f} %"
                f"  decided {made.verdicts.decided:4}  opened {made.verdicts.opened:3}  filled {len(made.filled):3}"
                f"  excepted {len(others):2}  {group.column} = {value} where {group.where}"
            )


def main() -> None:
    known = truth()
    for title, most in (("All of a group alike", 0), (f"Up to {MOST_EXCEPTED} positions excepted", MOST_EXCEPTED)):
        print(f"\n{title}")
        count(known, most)


if __name__ == "__main__":
    main()
