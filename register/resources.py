"""The folders of rules and samples, beside the package or in a wheel; and small files that a person names."""

from __future__ import annotations

import errno
import stat
from importlib.resources import files
from pathlib import Path

from register.errors import Problem, StartrollError

MOST_SMALL_MB = 20
MOST_YAML_MB = 2  # takes 0.4 GB of memory to read


def small_file(path: Path, most_mb: int = MOST_SMALL_MB) -> bytes:
    """The bytes of a file that a person wrote or saved: a mapping, a rule, a curve, a round.

    Errors: OSError, where it cannot be read, is no plain file (a device or a pipe never ends), or is larger than that.
    """
    found = path.stat()
    if not stat.S_ISREG(found.st_mode):
        raise OSError(errno.EINVAL, "it is no plain file", str(path))
    if found.st_size > most_mb * 1e6:
        raise OSError(errno.EFBIG, f"it has {found.st_size / 1e6:.3g} MB; up to {most_mb} MB are read", str(path))
    return path.read_bytes()


def _folder(packed: str, beside: str) -> Path:
    package = Path(str(files("register")))
    for folder in (package / packed, package.parent / beside):
        if folder.is_dir():
            return folder
    raise StartrollError(
        Problem(
            cause=f"the folder {beside}/ that belongs to the program is missing",
            remedy="install the program again: pip install --force-reinstall startroll",
            place=str(package),
        )
    )


def rules_folder() -> Path:
    """The rules, limits, tables and assumptions that come with the program."""
    return _folder("_pack", "rules")


def samples_folder() -> Path:
    """The sample plants that come with the program."""
    return _folder("_samples", "samples")
