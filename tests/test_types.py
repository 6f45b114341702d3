"""Types are checked: mypy's errors, counted by room, may only become fewer."""

import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
BASELINE = Path(__file__).parent / "types.txt"


@pytest.mark.dear
def test_no_room_has_more_errors_of_types_than_it_had():
    pytest.importorskip("mypy", reason="dev extra")
    ran = subprocess.run([sys.executable, "-m", "mypy"], cwd=ROOT, capture_output=True, text=True)
    assert ran.returncode in (0, 1), ran.stderr
    errors = [line for line in ran.stdout.splitlines() if ": error: " in line]
    found = Counter(re.split(r"[/\\:.]", line)[1] for line in errors)
    allowed = Counter({room: int(count) for room, count in map(str.split, BASELINE.read_text().splitlines())})
    worse = {room for room in found if found[room] > allowed[room]}
    assert not worse, "\n".join(line for line in errors if re.split(r"[/\\:.]", line)[1] in worse)
    better = {room: found[room] for room in allowed if found[room] < allowed[room]}
    assert not better, f"fewer errors than {BASELINE.name} allows: write the new counts there: {better}"
