"""A file that is written whole or not at all, and never over another."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from register.errors import Problem, StartrollError


def refuse_taken(*targets: Path | None) -> None:
    """Raise StartrollError, with every one of the places where something stands already."""
    taken = [
        Problem("there is something of that name already", "name another, or move it", str(target))
        for target in targets
        if target is not None and target.exists()
    ]
    if taken:
        raise StartrollError(taken)


def write_new(target: Path, data: bytes) -> None:
    """Write a new file; StartrollError when the place is taken, or will not hold all of it."""
    refuse_taken(target)
    try:
        target.write_bytes(data)
    except OSError as error:
        with suppress(OSError):
            target.unlink(missing_ok=True)
        raise unwritable(target, error) from None


def unwritable(target: Path, error: OSError) -> StartrollError:
    """The error of a place that cannot be written."""
    return StartrollError(
        Problem(
            f"it cannot be written: {error.strerror or error}",
            "make room, or name a folder that is there and can be written",
            str(target),
        )
    )
