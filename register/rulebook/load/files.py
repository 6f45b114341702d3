"""The files that a pack is made of, as bytes: to hash them, to keep them, to read them again."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory

from register.errors import Problem, RegisterDamaged

PACK, SITE = "pack", "site"
READ = {".yml", ".yaml", ".csv"}


def files_in(folder: Path, site_folder: Path | None) -> dict[str, bytes]:
    """The files of a pack and of the site's own folder, by path: `pack/…` and `site/…`."""
    found = {}
    for layer, root in ((PACK, folder), (SITE, site_folder)):
        for path in sorted(root.rglob("*")) if root else ():
            inner = path.relative_to(root)
            hidden = any(part.startswith(".") for part in inner.parts)
            if path.suffix in READ and path.is_file() and not hidden:
                found[f"{layer}/{inner.as_posix()}"] = path.read_bytes()
    return found


def hash_of(files: Mapping[str, bytes]) -> str:
    """One hash of all that a pack judges by: rules, limits, assumed values and tables."""
    digest = hashlib.sha256()
    for path in sorted(files):
        digest.update(f"{path}\0{len(files[path])}\0".encode() + files[path])
    return digest.hexdigest()


@contextmanager
def in_folders(files: Mapping[str, bytes]) -> Iterator[tuple[Path, Path | None]]:
    """The folders of a pack and of a site with these files in them, for as long as they are needed.

    Raises RegisterDamaged when a path leads out of its folder.
    """
    with TemporaryDirectory(prefix="startroll-rules-") as place:
        for path, data in files.items():
            target = Path(place, _inner(path))
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
        site = Path(place, SITE)
        yield Path(place, PACK), site if site.is_dir() else None


def _inner(path: str) -> PurePosixPath:
    inner = PurePosixPath(path)
    if inner.is_absolute() or ".." in inner.parts or "\\" in path or inner.parts[0] not in (PACK, SITE):
        raise RegisterDamaged(
            Problem(f"kept rules hold the path {path!r}, which leads out of their folder", "go back to the last backup")
        )
    return inner


def shown(path: Path) -> str:
    """A path as short as it can be told from here."""
    relative = os.path.relpath(path)
    return str(path) if relative.startswith("..") else relative
