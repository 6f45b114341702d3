"""Whether file locks hold where a register lies: by them SQLite lets one write at a time, and a reader see no half.

A share may grant a lock to two at once, or keep locks among the programs of one computer. Both lose what was written.
"""

from __future__ import annotations

import errno
import os
import re
import secrets
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path

from register.errors import Problem, RegisterBusy

try:
    import fcntl
except ImportError:  # not there on Windows
    fcntl = None  # type: ignore[assignment]

MOUNTS = Path("/proc/self/mountinfo")
# By kind of share the options with which its locks hold on one computer alone: nfs(5), mount.cifs(8), mount.lustre(8).
_NFS = frozenset({"nolock", "local_lock=all", "local_lock=posix"})
_CIFS = frozenset({"nobrl", "nolock"})
OWN_ALONE = {"nfs": _NFS, "nfs4": _NFS, "cifs": _CIFS, "smb3": _CIFS, "lustre": frozenset({"localflock"})}
# These define no lock of their own, and the kernel then keeps locks among its own programs (libfuse, fuse_operations).
OWN_ALONE_KINDS = frozenset({"fuse.sshfs", "fuse.gvfsd-fuse", "fuse.rclone", "fuse.s3fs", "fuse.curlftpfs"})
# How asking for a lock ends where there is none to be had; another that holds it is EAGAIN or EACCES (fcntl(2)).
_NONE = {errno.ENOLCK, errno.ENOSYS, errno.EOPNOTSUPP, errno.ENOTSUP}
REMEDY = (
    "keep it on a local disk (startroll backup COPY makes it there) and only backups on the share; what others wrote"
    " to copies comes in by startroll merge"
)


@cache
def why_lost(folder: Path) -> str:
    """Why file locks do not hold in a folder, "" where they do or it cannot be tried; tried once in a process."""
    return _kept_by_one(folder) or _granted_twice(folder)


def check(path: Path) -> None:
    """Refuse to write to a register whose file system loses locks."""
    if why := why_lost(path.resolve().parent):
        cause = f"{why}: of two who write at once, one would lose what was written"
        raise RegisterBusy(Problem(cause, REMEDY, str(path)))


def told(path: Path) -> Problem | None:
    """What a reader of such a register is told; None where locks hold."""
    why = why_lost(path.resolve().parent)
    cause = f"{why}: it is read, and may change meanwhile; writing is refused"
    return Problem(cause, REMEDY, str(path)) if why else None


def _kept_by_one(folder: Path) -> str:
    """Why another computer would not see a lock, as far as the way tells in which the share is mounted."""
    try:
        kind, options = mounted(folder, MOUNTS.read_text("utf-8", "surrogateescape"))
    except OSError:  # another system than Linux
        return ""
    if kind in OWN_ALONE_KINDS:
        return f"this share ({kind.partition('.')[2]}) keeps file locks on this computer alone"
    if found := sorted(options & OWN_ALONE.get(kind, frozenset())):
        return f"this share is mounted with {found[0]}, so that file locks hold on this computer alone"
    return ""


def mounted(folder: Path, mounts: str) -> tuple[str, frozenset[str]]:
    """The kind of a folder's file system and its options; `mounts` as in /proc/self/mountinfo (proc(5)).

    >>> mounted(Path("/srv/plant"), "27 1 8:1 / / rw - ext4 /dev/sda rw\\n36 27 0:42 / /srv rw - nfs s:/p rw,nolock")[0]
    'nfs'
    """
    best, found = -1, ("", frozenset[str]())
    for line in mounts.splitlines():
        before, _, after = line.partition(" - ")
        fields, ends = before.split(" "), after.split(" ")
        if len(fields) < 6 or len(ends) < 3:
            continue
        point = Path(re.sub(r"\\([0-7]{3})", lambda code: chr(int(code[1], 8)), fields[4]))
        # The last of those mounted on one place is the one that is seen.
        if (point == folder or point in folder.parents) and len(point.parts) >= best:
            best, found = len(point.parts), (ends[0], frozenset([*fields[5].split(","), *ends[2].split(",")]))
    return found


def _granted_twice(folder: Path) -> str:
    """Why one lock does not keep another out, tried on a file without a name beside the register.

    The one is of the kind that SQLite asks for, which belongs to the process; the other belongs to an open file, and
    so conflicts with it as one of another process would. The register itself is left alone: whoever closes a
    file gives up all locks that the process holds on it, SQLite's too.
    """
    by_open_file = getattr(fcntl, "F_OFD_SETLK", None)
    if by_open_file is None:
        return ""
    try:
        with _opened_twice(folder) as (one, two):
            fcntl.lockf(one, fcntl.LOCK_EX | fcntl.LOCK_NB, 1)
            fcntl.fcntl(two, by_open_file, struct.pack("hhqqi4x", fcntl.F_WRLCK, os.SEEK_SET, 0, 1, 0))
    except OSError as error:
        return "file locks are not to be had here" if error.errno in _NONE else ""
    return "file locks do not hold here"


@contextmanager
def _opened_twice(folder: Path) -> Iterator[tuple[int, int]]:
    """One file, opened twice, that is gone at the end."""
    name: Path | None = None
    try:
        one = os.open(folder, os.O_TMPFILE | os.O_RDWR, 0o600)
        again = Path(f"/proc/self/fd/{one}")
    except OSError:  # a share that knows no file without a name
        again = name = folder / f".{secrets.token_hex(8)}.part"
        one = os.open(name, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600)
    try:
        two = os.open(again, os.O_RDWR)
        try:
            yield one, two
        finally:
            os.close(two)
    finally:
        os.close(one)
        if name:
            name.unlink(missing_ok=True)
