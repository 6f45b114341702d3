"""Rules, limits, tables and assumed values as an audit used them: each file's bytes are kept once."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

from sqlite_utils import Database

from register.errors import Problem, RegisterDamaged


def keep_pack(db: Database, pack_hash: str, files: Mapping[str, bytes]) -> None:
    """Keep the files of a pack under its hash; belongs inside `database.writing`."""
    if db.table("pack_file").count_where("pack_hash = ?", [pack_hash]):
        return
    hashes = {path: hashlib.sha256(data).hexdigest() for path, data in files.items()}
    db.table("content").insert_all(
        ({"content_hash": hashes[path], "bytes": data} for path, data in files.items()), ignore=True
    )
    db.table("pack_file").insert_all(
        {"pack_hash": pack_hash, "path": path, "content_hash": digest} for path, digest in hashes.items()
    )


def kept_pack(db: Database, pack_hash: str) -> dict[str, bytes]:
    """The files of a pack that was kept, by path.

    Raises RegisterDamaged when there is no such pack, or a file is not what it was.
    """
    rows = db.execute(
        "SELECT path, content_hash, bytes FROM pack_file JOIN content USING (content_hash)"
        " WHERE pack_hash = ? ORDER BY path",
        [pack_hash],
    ).fetchall()
    spoilt = [path for path, digest, data in rows if hashlib.sha256(data).hexdigest() != digest]
    if spoilt or not rows:
        what = f"of the rules kept as {pack_hash[:8]}, "
        cause = f"{what}{', '.join(spoilt) or 'every file'} is no longer what was kept"
        raise RegisterDamaged(Problem(cause, "go back to the last backup"))
    return {path: data for path, _, data in rows}
