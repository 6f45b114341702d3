"""The photographs of a round: kept beside the register, each under its SHA-256, so that none is kept twice."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from register.rounds.saved_file import Answer
from register.store.output_file import unwritable


@dataclass(frozen=True, slots=True)
class Photos:
    """What became of the photographs: how many are kept in `folder`, and what is wrong with others, in words."""

    folder: Path
    kept: int = 0
    problems: tuple[str, ...] = ()


def keep_photos(register: Path, beside: Path, answers: Iterable[Answer]) -> Photos:
    """Copy the photographs that lie beside the saved file; StartrollError where there is no room for them."""
    folder = register.with_name(f"{register.stem}.photos")
    kept, problems = 0, []
    for photo in dict.fromkeys(answer.photo for answer in answers if answer.photo):
        # The name comes out of a file: nothing outside of its folder is read.
        found = beside / Path(photo.file.replace("\\", "/")).name
        try:
            data = found.read_bytes()
        except OSError:
            problems.append(f"{photo.file}: it is not beside the saved file; put it there and take the round again")
            continue
        if hashlib.sha256(data).hexdigest() != photo.sha256:
            problems.append(f"{photo.file}: not the picture that was taken (its SHA-256 differs); it is not kept")
            continue
        _put(folder / f"{photo.sha256}{found.suffix.lower()}", data)
        kept += 1
    return Photos(folder, kept, tuple(problems))


def _put(target: Path, data: bytes) -> None:
    if target.exists():
        return
    part = target.with_name(f"{target.name}.part")
    try:
        target.parent.mkdir(exist_ok=True)
        part.write_bytes(data)
        os.replace(part, target)
    except OSError as error:
        raise unwritable(target, error) from None
