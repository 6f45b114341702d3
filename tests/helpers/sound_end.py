"""How a command on trial may end: with a documented code, in words, within bounds of time and memory."""

from pathlib import Path

from on_trial import Ended
from register_state import check_whole, state
from trial_room import MOST_MB

MOST_S = 60


def sound(ended: Ended, codes: set[int], what: str) -> None:
    """Assert that it ended with one of the codes, without a traceback, within 60 s of the processor and MOST_MB."""
    assert ended.code in codes, f"{what}: {ended.told}"
    assert "Traceback" not in ended.err + ended.out, f"{what}: {ended.told}"
    assert ended.most_mb < MOST_MB, f"{what}: {ended.most_mb:.0f} MB"
    assert ended.cpu_s < MOST_S, f"{what}: {ended.cpu_s:.0f} s"


def check_whole_or_as_made(register: Path, empty: tuple[Path, bytes, dict]) -> None:
    """Assert that a register holds what the empty one does, or more and all of it whole."""
    if register.read_bytes() != empty[1] and state(register) != empty[2]:
        check_whole(register)
