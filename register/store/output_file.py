"""A file that is written whole or not at all, and never over another."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from shutil import rmtree

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


def write_together(files: Mapping[Path, bytes]) -> None:
    """Write several new files, all of them or none; StartrollError as in `write_new`."""
    refuse_taken(*files)
    written: list[Path] = []
    try:
        for target, data in files.items():
            write_new(target, data)
            written.append(target)
    except StartrollError:
        for target in written:
            target.unlink()
        raise


def write_folder(target: Path, files: Mapping[str, bytes]) -> None:
    """Write a new folder with these files, by their names in it; all of it or nothing."""
    refuse_taken(target)
    try:
        for name, data in files.items():
            place = target / name
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(data)
    except OSError as error:
        rmtree(target, ignore_errors=True)
        raise unwritable(target, error) from None
