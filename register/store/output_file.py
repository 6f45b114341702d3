"""A file that is written whole or not at all, and never over another."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from shutil import rmtree

from register.errors import Problem, StartrollError


def refuse_taken(*targets: Path | None) -> None:
    """Raise StartrollError, with every one of the places where something stands already."""
    taken = [
        Problem("there is something of that name already", "name another, or move it", str(target))
        for target in targets
        if target is not None and os.path.lexists(target)
    ]
    if taken:
        raise StartrollError(taken)


KINDS = {".ics": "a calendar file", ".xlsx": "a workbook"}


def refuse_unfit(target: Path | None, ending: str) -> None:
    """Raise StartrollError where a file could not be kept, before anything is worked out.

    Parameters
    ----------
    target : where it is to be written; something may stand there already.
    ending : what its name has to end with, of `KINDS`.
    """
    refuse_taken(target)
    if target is not None and target.suffix.lower() != ending:
        raise StartrollError(Problem(f"{target.name} is not {KINDS[ending]}", f"name a {ending} file", str(target)))


@contextmanager
def aside(target: Path) -> Iterator[Path]:
    """A name beside `target` under which a file or folder is written before `put` gives it its own; gone at the end.

    A process that is killed leaves at most a file of such a name, which is in nobody's way.
    """
    part = target.with_name(f".{secrets.token_hex(8)}.part")
    try:
        yield part
    finally:
        for left in (part, part.with_name(f"{part.name}-journal")):
            with suppress(OSError):
                rmtree(left) if left.is_dir() else left.unlink(missing_ok=True)


def put(part: Path, target: Path) -> None:
    """Give what lies aside its own name, when all of it is on the disk; StartrollError when the name is taken."""
    for inner in (part, *part.rglob("*")):
        _to_disk(inner)
    refuse_taken(target)
    try:
        # A second name cannot be given over another file, as a renamed file can.
        os.link(part, target)
    except FileExistsError:
        refuse_taken(target)
        raise
    except OSError:  # a folder, or a disk without second names
        os.rename(part, target)
    _to_disk(target.parent)


def _to_disk(path: Path) -> None:
    """Have a file written to the disk, or of a folder its list of names and not what lies in it."""
    with suppress(OSError):  # a share that knows no such order
        number = os.open(path, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def write_new(target: Path, data: bytes) -> None:
    """Write a new file; StartrollError when the place is taken, or will not hold all of it."""
    write_together({target: data})


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
    with laid_aside(files) as put_there:
        put_there()


@contextmanager
def laid_aside(files: Mapping[Path, bytes]) -> Iterator[Callable[[], None]]:
    """Several new files, written aside; what is handed out gives them their names, all of them or none.

    Whoever has something else to do in between knows that there is room for them. Errors: as in `write_new`.
    """
    refuse_taken(*files)
    with ExitStack() as parts:
        lying = {target: parts.enter_context(aside(target)) for target in files}
        for target, data in files.items():
            try:
                lying[target].write_bytes(data)
            except OSError as error:
                raise unwritable(target, error) from None
        yield lambda: _put_all(lying)


def _put_all(lying: Mapping[Path, Path]) -> None:
    put_there: list[Path] = []
    for target, part in lying.items():
        try:
            put(part, target)
        except (OSError, StartrollError) as error:
            for done in put_there:
                done.unlink()
            if isinstance(error, OSError):
                raise unwritable(target, error) from None
            raise
        put_there.append(target)


def write_folder(target: Path, files: Mapping[str, bytes]) -> None:
    """Write a new folder with these files, by their names in it; all of it or nothing."""
    refuse_taken(target)
    with aside(target) as part:
        try:
            for name, data in files.items():
                place = part / name
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(data)
            put(part, target)
        except OSError as error:
            raise unwritable(target, error) from None
