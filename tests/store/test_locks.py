"""Whether file locks hold where a register lies: told by how it is mounted, and by trying.

Lines of mounts are after proc(5) and nfs(5); what a kernel answers is played, for no share is mounted here.
"""

import errno
import fcntl
import os
from pathlib import Path

import pytest

from register.errors import RegisterBusy
from register.store import database, locks
from register.store.database import create, opened, repair, writing
from register.store.snapshot import snapshot

# The line of proc(5), and others of its form.
MOUNTS = r"""36 35 98:0 /mnt1 /mnt2 rw,noatime master:1 - ext3 /dev/root rw,errors=continue
27 1 254:0 / / rw,relatime - ext4 /dev/sda1 rw,discard
40 27 0:40 / /srv rw,relatime shared:5 - nfs4 server:/plant rw,vers=4.2,hard,local_lock=none,addr=192.0.2.7
41 27 0:41 / /srv/old rw,relatime - nfs server:/old rw,vers=3,nolock,local_lock=all
42 27 0:42 / /srv/our\040plant rw - cifs //server/plant rw,vers=3.1.1,nobrl
43 27 0:43 / /home/rk/far rw,nosuid - fuse.sshfs rk@server:/plant rw,user_id=1000
44 40 0:44 / /srv/twice rw - nfs server:/one rw,local_lock=posix
45 44 0:45 / /srv/twice rw - ext4 /dev/sdb1 rw
"""
PLACES = {
    "/mnt2/plant": ("ext3", ""),
    "/home/rk": ("ext4", ""),
    "/srv/plant/a": ("nfs4", ""),
    "/srv/old/a": ("nfs", "mounted with local_lock=all"),
    "/srv/older": ("nfs4", ""),
    "/srv/our plant": ("cifs", "mounted with nobrl"),
    "/home/rk/far": ("fuse.sshfs", "(sshfs) keeps file locks on this computer alone"),
    "/srv/twice/b": ("ext4", ""),
}


@pytest.fixture
def mounts(tmp_path, monkeypatch):
    def are(text):
        (tmp_path / "mounts").write_text(text)
        monkeypatch.setattr(locks, "MOUNTS", tmp_path / "mounts")
        locks.why_lost.cache_clear()

    yield are
    locks.why_lost.cache_clear()


@pytest.fixture
def tried_anew(monkeypatch):
    monkeypatch.setattr(database, "NOTICES", [])
    locks.why_lost.cache_clear()
    yield
    locks.why_lost.cache_clear()


@pytest.mark.parametrize("place", PLACES)
def test_what_the_mount_tells(place, mounts):
    kind, why = PLACES[place]
    mounts(MOUNTS)
    assert locks.mounted(Path(place), MOUNTS)[0] == kind
    assert why in (found := locks.why_lost(Path(place))) and bool(found) == bool(why)


def test_a_register_whose_locks_do_not_hold_is_read_and_not_written(tmp_path, mounts, tried_anew):
    path = tmp_path / "plant.db"
    create(path, {"site": "Oldmarrow Works", "practice": "iec"})
    before = path.read_bytes()
    mounts(f"41 27 0:41 / {tmp_path} rw - nfs server:/old rw,vers=3,nolock\n")
    for attempt in (writes, repair, lambda _: create(tmp_path / "other.db", {"site": "B", "practice": "iec"})):
        with pytest.raises(RegisterBusy, match="mounted with nolock") as told:
            attempt(path)
        (problem,) = told.value.problems
        assert problem.place.startswith(str(tmp_path)) and "startroll merge" in problem.remedy
    with opened(path) as db, snapshot(path) as copy:
        assert [row[0] for row in db.execute("SELECT site FROM site")] == ["Oldmarrow Works"]
    assert "it is read" in database.NOTICES[0].cause and "it is read" in copy.notes[0]
    assert path.read_bytes() == before and sorted(p.name for p in tmp_path.iterdir()) == ["mounts", "plant.db"]


def writes(path):
    with opened(path, write=True) as db, writing(db, reason="walk"):
        db.execute("INSERT INTO position (tag) VALUES ('P-1')")


def test_a_journal_of_another_is_left_alone_where_its_lock_may_not_be_seen(tmp_path, mounts, tried_anew):
    """A journal without a lock looks like one of a write that was cut off."""
    path = tmp_path / "plant.db"
    create(path, {"site": "Oldmarrow Works", "practice": "iec"})
    journal = tmp_path / "plant.db-journal"
    journal.write_bytes(bytes.fromhex("d9d505f920a163d7").ljust(512, b"\0"))  # SQLite's file format, 3
    mounts(f"41 27 0:41 / {tmp_path} rw - nfs server:/old rw,vers=3,nolock\n")
    with pytest.raises(RegisterBusy, match="or another computer is writing to it"), opened(path):
        pass
    assert journal.exists()
    mounts("")
    with opened(path):
        assert not journal.exists()


def refusing(number):
    def refuse(*_):
        raise OSError(number, os.strerror(number))

    return refuse


@pytest.mark.parametrize(
    ("number", "why"),
    [(errno.ENOLCK, "file locks are not to be had here"), (errno.ENOSYS, "file locks are not"), (errno.EINTR, "")],
)
def test_locks_that_are_not_to_be_had(number, why, tmp_path, mounts, monkeypatch):
    mounts("")
    monkeypatch.setattr(fcntl, "lockf", refusing(number))
    assert (found := locks.why_lost(tmp_path)).startswith(why) and bool(found) == bool(why)


def test_locks_that_are_granted_to_two(tmp_path, mounts, monkeypatch):
    mounts("")
    assert locks.why_lost(tmp_path) == ""
    locks.why_lost.cache_clear()
    monkeypatch.setattr(fcntl, "fcntl", lambda *_: b"")
    assert locks.why_lost(tmp_path) == "file locks do not hold here"


@pytest.mark.parametrize("holds", [True, False])
def test_where_a_file_needs_a_name(holds, tmp_path, mounts, monkeypatch):
    """NFS and CIFS know no file without one: it is there for a moment, and gone at the end."""
    mounts("")
    named, real = [], os.open

    def with_names_alone(place, flags, *mode, **more):
        if flags & os.O_TMPFILE == os.O_TMPFILE:
            raise OSError(errno.EOPNOTSUPP, "not here")
        named.append(Path(place))
        return real(place, flags, *mode, **more)

    monkeypatch.setattr(os, "open", with_names_alone)
    if not holds:
        monkeypatch.setattr(fcntl, "fcntl", lambda *_: b"")
    assert bool(locks.why_lost(tmp_path)) == (not holds)
    assert [place.parent for place in named] == [tmp_path, tmp_path] and not named[0].exists()


def test_a_folder_that_may_not_be_written_is_not_tried(tmp_path, mounts, monkeypatch):
    mounts("")
    monkeypatch.setattr(os, "open", refusing(errno.EROFS))
    assert locks.why_lost(tmp_path) == ""
