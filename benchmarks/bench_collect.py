"""What share of the demo plant's can't-tells group answers decide, with the true values of the sample.

Run by hand: `python benchmarks/bench_collect.py`. Groups are proposed as `startroll answer --propose` does, the first
one is looked at, and the next proposed. It is answered where the true values of all blanks that its filter would
fill are known and agree; else it is passed over, as a person does who knows the plant. The true values are those
from which the sample's holes are dug; where the sample itself never had a value, there is no answer.
"""

import sys
import tempfile
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


def agreed(now, group, known):
    """The true value of every blank that the group's filter would fill; None where they differ or one is not known."""
    chosen = select(now.db, group.where, today=DAY).tags
    held = dict(now.db.conn.execute(f"SELECT tag, {group.column} FROM facts"))
    values = {known.get((tag, group.column)) for tag in chosen if held[tag] is None}
    return values.pop() if len(values) == 1 else None


def main() -> None:
    known = truth()
    with tempfile.TemporaryDirectory() as folder:
        path = Sample("demo-plant", Path(folder)).path
        with session(path, AuditRequest(today=DAY), write=True) as now:
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
                value = agreed(now, group, known)
                if value is None:
                    continue
                answers += 1
                asked = GroupAnswer(group.column, f"{value} {group.unit}".strip(), group.where)
                made = answer_group(now, asked, reason="true value")
                left = set(now.audit().having(Outcome.CANT_TELL))
                share = 100 * len(first - left) / len(first)
                print(
                    f"{answers:3}  proposal {len(seen):3}  {share:5.1f} %  decided {made.verdicts.decided:4}"
                    f"  opened {made.verdicts.opened:3}  filled {len(made.filled):3}"
                    f"  {group.column} = {value} where {group.where}"
                )


if __name__ == "__main__":
    main()
