"""The annual review pack: what was judged, by what, with what result, in files that can be checked.

A pack is a folder, or a zip file of the same, with a manifest of SHA-256 hashes in the form that
the `sha256sum` command reads. The same register, rules and day give the same bytes.
"""

from __future__ import annotations

import hashlib
import io
import os
import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from register.audit.annual_review import AnnualReview
from register.errors import PackError, Problem
from register.reports import pack_signature
from register.reports.json_data import comparison, plain, written
from register.reports.page.review import html as review_html
from register.reports.publish import rendered
from register.store.output_file import refuse_taken, write_folder, write_new

MANIFEST = "MANIFEST.sha256"
_LINE = re.compile(r"([0-9a-f]{64})  (\S.*)")


@dataclass(frozen=True, slots=True)
class ReviewPack:
    """A pack that was made or found whole: its files, the hash of its manifest."""

    path: Path
    files: tuple[str, ...]
    manifest_hash: str


def make(review: AnnualReview, target: Path, *, sign: Path | None = None) -> ReviewPack:
    """Write the pack of a review: a new folder, or a new file whose name ends in .zip.

    sign : the site's own key; the signature is written beside the pack.
    Raises StartrollError when a place is taken or cannot be written, or the key cannot be read.
    """
    refuse_taken(target, pack_signature.signature_of(target) if sign else None)
    key = pack_signature.private_key(sign) if sign else None
    files = contents(review)
    if target.suffix.lower() == ".zip":
        write_new(target, zipped(files))
    else:
        write_folder(target, files)
    if key:
        pack_signature.sign(files[MANIFEST], key, target)
    return ReviewPack(target, tuple(files), _sha256(files[MANIFEST]))


def contents(review: AnnualReview) -> dict[str, bytes]:
    """The pack's files by name, the manifest among them, in the order of their names."""
    report, compared = review.report, review.comparison
    files = {
        "findings.html": rendered(report, "html"),
        "findings.xlsx": rendered(report, "xlsx"),
        "report.json": rendered(report, "json"),
        "report.sarif": rendered(report, "sarif"),
        **{f"register/{name}.csv": data for name, data in review.tables.items()},
        **{f"rules/{name}": data for name, data in review.rules.items()},
    }
    if compared:
        files["comparison.json"] = (written(comparison(compared)) + "\n").encode()
    if review.year:
        files["year.json"] = (written(plain(review.year)) + "\n").encode()
    files["review.html"] = review_html(review, _hashes(files)).encode("utf-8", "replace")
    files[MANIFEST] = manifest(files)
    return dict(sorted(files.items()))


def manifest(files: Mapping[str, bytes]) -> bytes:
    """A line for each file: its hash, two spaces, its name."""
    lines = (f"{digest}  {name}\n" for name, digest in sorted(_hashes(files).items()))
    return "".join(lines).encode()


def zipped(files: Mapping[str, bytes]) -> bytes:
    """The files as a zip: stored plain, with fixed times, so that no byte of it is free."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_STORED) as archive:
        for name, data in sorted(files.items()):
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.create_system = 3
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, data)
    return made.getvalue()


def verify(path: Path, *, expect: str | None = None, key: Path | None = None) -> ReviewPack:
    """Check a pack against its manifest; PackError with everything that is not as it was made.

    expect : the manifest's hash, as it was noted when the pack was signed: a manifest made anew has another.
    key : the public key of whoever signed it; the signature lies beside the pack.
    """
    files = files_of(path)
    recorded, problems = _recorded(path, files)
    if expect and _sha256(files[MANIFEST]) != expect.strip().lower():
        problems.append(_wrong(path, f"the hash of {MANIFEST} is not the one that was expected"))
    for name in sorted(recorded.keys() - files.keys()):
        problems.append(_wrong(path, f"{name} is missing"))
    for name in sorted(files.keys() - recorded.keys() - {MANIFEST}):
        problems.append(_wrong(path, f"{name} is not of this pack"))
    for name in sorted(files.keys() & recorded.keys()):
        if _sha256(files[name]) != recorded[name]:
            problems.append(_wrong(path, f"{name} has been changed"))
    if not problems and path.is_file() and zipped(files) != path.read_bytes():
        problems.append(_wrong(path, "the zip file itself has been changed or made anew"))
    if problems:
        raise PackError(problems)
    if key:
        pack_signature.check(files[MANIFEST], path, key)
    return ReviewPack(path, tuple(sorted(files)), _sha256(files[MANIFEST]))


def files_of(path: Path) -> dict[str, bytes]:
    """The files of a pack by name; PackError for a place that is none."""
    return _unzipped(path) if path.is_file() else _in_folder(path)


def _recorded(path: Path, files: Mapping[str, bytes]) -> tuple[dict[str, str], list[Problem]]:
    """Hash by name, as the manifest has it, and what is wrong with the manifest itself."""
    if MANIFEST not in files:
        raise PackError(_wrong(path, f"there is no {MANIFEST}", "name a pack that review made"))
    recorded: dict[str, str] = {}
    problems = []
    text = files[MANIFEST].decode("utf-8", "replace")
    for number, line in enumerate(text.split("\n")[:-1], 1):
        if read := _LINE.fullmatch(line):
            recorded[read[2]] = read[1]
        else:
            problems.append(_wrong(path, f"{MANIFEST} line {number} is not as it was written"))
    if files[MANIFEST] != "".join(f"{h}  {n}\n" for n, h in sorted(recorded.items())).encode():
        problems.append(_wrong(path, f"{MANIFEST} is not as it was written"))
    return recorded, problems


def _unzipped(path: Path) -> dict[str, bytes]:
    try:
        with zipfile.ZipFile(path) as archive:
            entries = archive.infolist()
            # A pack is stored plain: what would grow when it is unpacked is no part of one.
            grown = [e.filename for e in entries if e.compress_type != zipfile.ZIP_STORED or e.file_size > _size(path)]
            if grown:
                raise PackError([_wrong(path, f"{name} was packed by another program") for name in grown])
            if sum(entry.file_size for entry in entries) > _size(path):
                raise PackError(_wrong(path, "its files share their bytes: it was packed by another program"))
            return {entry.filename: archive.read(entry) for entry in entries}
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError) as error:
        cause = f"it cannot be read as a zip file: {error}"
        raise PackError(_wrong(path, cause)) from None


def _size(path: Path) -> int:
    return path.stat().st_size


def _in_folder(path: Path) -> dict[str, bytes]:
    if not path.is_dir():
        raise PackError(_wrong(path, "there is no such pack", "name the folder or the zip file"))
    found = sorted(path.rglob("*"))
    if odd := [_wrong(p, cause) for p in found if (cause := _odd(p))]:
        raise PackError(odd)
    try:
        return {p.relative_to(path).as_posix(): p.read_bytes() for p in found if p.is_file()}
    except OSError as error:
        cause = f"it cannot be read: {error.strerror}"
        raise PackError(_wrong(Path(error.filename or path), cause)) from None


def _odd(path: Path) -> str:
    """What is in no pack that review made: links, empty folders, programs, special files."""
    if path.is_symlink():
        return "it is a link, and no file of this pack"
    if path.is_dir():
        return "" if any(path.iterdir()) else "an empty folder is not of this pack"
    if not path.is_file():
        return "it is no plain file"
    return "it may be run as a program, and no file of this pack may" if os.name == "posix" and _may_run(path) else ""


def _may_run(path: Path) -> bool:
    return bool(path.stat().st_mode & 0o111)


def _wrong(path: Path, cause: str, remedy: str = "go back to the copy that was signed") -> Problem:
    return Problem(cause, remedy, str(path))


def _hashes(files: Mapping[str, bytes]) -> dict[str, str]:
    return {name: _sha256(data) for name, data in files.items()}


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
