"""Every example of docs/commands.md and of the helps, run in its order on the demo plant."""

import os
import shlex
import shutil

import pytest

from register.cli.examples import EXAMPLES
from register.resources import rules_folder

CURVE = "speed_pct,torque_pct,current_xfla\n0,150,6.0\n50,140,5.5\n80,220,4.5\n97,180,2.0\n100,0,0.3\n"
# Those that need what takes a year, or another plant's files; each has tests of its own.
ELSEWHERE = {
    "compare",
    "concede refuse",
    "concede withdraw",
    "actions close",
    "rules check",
    "rules try",
    "measured",
    "remove",
    "take-round",
    "plate",
}
# These try every model at every position, half a minute each: of one area day by day, of all with STARTROLL_EXAMPLES.
OF_ONE_AREA = set() if "STARTROLL_EXAMPLES" in os.environ else {"spares", "plan"}


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    folder = tmp_path_factory.mktemp("examples")
    (folder / "torque.csv").write_text(CURVE, encoding="utf-8")
    (folder / "motors.xlsx").write_bytes(
        (rules_folder().parent / "samples" / "demo-plant" / "as-found.xlsx").read_bytes()
    )
    shutil.copytree(rules_folder(), folder / "older-rules")
    return folder


@pytest.mark.dear
def test_every_example_does_what_it_says(startroll, place, monkeypatch):
    monkeypatch.chdir(place)
    monkeypatch.setenv("STARTROLL_REGISTER", "demo/demo.db")
    failed = []
    for name, lines in EXAMPLES.items():
        if name == "audits":
            assert startroll("audit", "--keep", "--by", "rk", "--today", "2026-11-25").code in (0, 1)
        for line in () if name in ELSEWHERE else lines:
            ran = startroll(*shlex.split(line), *(("--area", "Effluent plant") if name in OF_ONE_AREA else ()))
            if ran.code not in (0, 1):
                failed.append((line, ran.code, ran.err))
    assert failed == []
