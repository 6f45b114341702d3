"""Where registers lie: files, folders, patterns, object stores; and what of a file tells whether it was read before."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from glob import glob, has_magic
from pathlib import Path
from tempfile import TemporaryDirectory

from register.errors import Problem, StartrollError

ENDINGS = (".db", ".sqlite")
HEADER_BYTES = 100
# A folder of the site's own rules beside its register: of that register alone, or of all in its folder.
OWN_RULES = ("{stem}.site-rules", "site-rules")
SCHEME = "://"


@dataclass(frozen=True, slots=True)
class Place:
    """A register's file: where a person finds it, and where it can be read."""

    told: str
    path: Path
    own_rules: Path | None = None

    @property
    def key(self) -> str:
        """A short name for a folder: the file's, and some letters that tell it from others of that name.

        >>> Place("/north/mill A.db", Path("/north/mill A.db")).key
        'mill-A-6886d952'
        """
        stem = re.sub(r"[^A-Za-z0-9]+", "-", Path(self.told).stem).strip("-") or "register"
        return f"{stem[:40]}-{hashlib.sha256(self.told.encode()).hexdigest()[:8]}"


def stamp(path: Path) -> str:
    """Size, time and header of a file; blank where it cannot be read.

    SQLite counts every change in the header, so that not even a change that leaves size and time alike is missed. A
    register whose last write was cut off, or that keeps a log beside it, has none: it is read anew.
    """
    if any(path.with_name(path.name + log).exists() for log in ("-journal", "-wal")):
        return ""
    try:
        with path.open("rb") as file:
            header = file.read(HEADER_BYTES)
        seen = path.stat()
    except OSError:
        return ""
    return f"{seen.st_size} {seen.st_mtime_ns} {hashlib.sha256(header).hexdigest()[:16]}"


@contextmanager
def found(places: Iterable[str]) -> Iterator[list[Place]]:
    """Every register of some places, in order of where it lies; what lies elsewhere is copied to a scratch folder.

    Parameters
    ----------
    places : files, folders (with all below them), patterns such as `plants/*.db`, and addresses such as
        `s3://bucket/plants/*.db`, read by fsspec.

    Raises StartrollError with every place at which there is none.
    """
    with TemporaryDirectory(prefix="startroll-fleet-") as scratch:
        every: dict[str, Place] = {}
        empty = []
        for number, place in enumerate(places):
            own = list(_far(place, Path(scratch, str(number))) if SCHEME in place else _near(place))
            if not own:
                empty.append(Problem("there is no register here", f"name a folder with {_endings()} files", place))
            every |= {one.told: one for one in own}
        if empty:
            raise StartrollError(empty, summary="nothing was read")
        yield [every[told] for told in sorted(every)]


def _endings() -> str:
    return " or ".join(ENDINGS)


def _near(place: str) -> Iterator[Place]:
    named = sorted(glob(place, recursive=True)) if has_magic(place) and not Path(place).exists() else [place]
    for path in map(Path, named):
        inside = sorted(path.rglob("*")) if path.is_dir() else [path] if path.is_file() else []
        for file in inside:
            if file.is_file() and (file == path or file.suffix in ENDINGS) and not file.name.startswith("."):
                yield Place(str(file.absolute()), file.absolute(), _rules_beside(file))


def _rules_beside(file: Path) -> Path | None:
    beside = (file.with_name(name.format(stem=file.stem)) for name in OWN_RULES)
    return next((folder for folder in beside if folder.is_dir()), None)


def _far(place: str, scratch: Path) -> Iterator[Place]:
    """Registers of an object store, each copied with the rules and logs beside it."""
    from register.fleet.extra import needed

    fsspec = needed("fsspec")
    try:
        store, _, (root,) = fsspec.get_fs_token_paths(place, expand=False)
        named = store.glob(root) if has_magic(root) else [root]
        inside = [file for name in named for file in (store.find(name) if store.isdir(name) else [name])]
        files = sorted(file for file in inside if Path(file).suffix in ENDINGS and store.isfile(file))
        for file in files:
            folder, inner = scratch / file.strip("/").rpartition("/")[0], file.rpartition("/")[0]
            folder.mkdir(parents=True, exist_ok=True)
            stem = Path(file).stem
            beside = [f"{inner}/{name.format(stem=stem)}" for name in OWN_RULES]
            for rules in (name for name in beside if store.isdir(name)):
                target = folder / rules.rpartition("/")[2]
                if not target.exists():
                    store.get(rules, str(target), recursive=True)
            for name in (file, f"{file}-journal", f"{file}-wal"):
                if name == file or store.exists(name):
                    store.get_file(name, str(folder / name.rpartition("/")[2]))
            path = folder / file.rpartition("/")[2]
            yield Place(store.unstrip_protocol(file), path, _rules_beside(path))
    except (OSError, ImportError, ValueError) as error:
        raise StartrollError(
            Problem(f"it cannot be read: {error}", "check the address and the rights", place)
        ) from None
