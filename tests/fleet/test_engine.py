"""The map on one core, a pool and a cluster: the same bytes, whoever works, and whoever is lost."""

import hashlib
import multiprocessing
import os
import signal
import threading
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing.context import SpawnProcess
from pathlib import Path

import pytest
from fleet_made import DAY

from register.errors import StartrollError
from register.fleet import engine
from register.fleet.asked import Asked
from register.fleet.engine import Engine, grouped
from register.fleet.kept import Kept
from register.fleet.places import Place
from register.fleet.rollup import roll_up
from register.reports.fleet.document import page
from register.reports.fleet.workbook import workbook


@pytest.fixture(autouse=True)
def small_groups(monkeypatch):
    monkeypatch.setattr(engine, "GROUP", 2)


def digests(folder: Path):
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*.parquet"))
    }


def everything(made, folder, by):
    report = roll_up([str(made)], Asked(today=DAY), engine=by, keep_in=folder)
    return digests(folder), page(report), workbook(report)


@pytest.mark.parametrize(
    ("count", "least", "most"),
    [(1, 1, 1), (19, 19, 19), (139, 20, 39), (400, 20, 39), (2000, 40, 40), (1010, 40, 50), (5556, 36, 40)],
)
def test_groups_are_of_twenty_and_more_and_leave_none_out(monkeypatch, count, least, most):
    monkeypatch.setattr(engine, "GROUP", 20)
    places = [Place(f"/p/{n}.db", Path(f"/p/{n}.db")) for n in range(count)]
    groups = grouped(places, Asked(), {})
    assert [place for group in groups for place in group.places] == places
    assert all(least <= len(group.places) <= most for group in groups)


# The fleet makes three groups; tests below have two workers, and starting one takes a second.
@pytest.mark.parametrize("workers", [2, 3, 4] if os.environ.get("STARTROLL_EXAMPLES") else [3])
def test_the_same_bytes_from_any_number_of_workers(made, tables, report, tmp_path, workers):
    kept, html, xlsx = everything(made, tmp_path, Engine(workers))
    assert kept == digests(tables)
    assert html == page(report)
    assert xlsx == workbook(report)


def test_whatever_order_they_are_done_in(made, tables, tmp_path):
    class Backwards(Engine):
        def run(self, groups):
            yield from reversed(list(super().run(groups)))

    assert everything(made, tmp_path, Backwards())[0] == digests(tables)


def test_a_worker_that_is_killed_loses_nothing(made, tables, tmp_path):
    killed = []

    def kill():
        while not killed:
            for child in Path(f"/proc/{os.getpid()}/task").glob("*/children"):
                for pid in map(int, child.read_text().split()):
                    if b"spawn_main" in Path(f"/proc/{pid}/cmdline").read_bytes():
                        os.kill(pid, signal.SIGKILL)
                        killed.append(pid)
                        return
            time.sleep(0.02)

    if not Path("/proc").is_dir():
        pytest.skip("processes are found in /proc")
    killer = threading.Thread(target=kill, daemon=True)
    killer.start()
    kept, _, _ = everything(made, tmp_path, Engine(2))
    killed.append(0)
    killer.join()
    assert len(killed) == 2 and kept == digests(tables)


@pytest.mark.parametrize("when", ["before the next is begun", "while the next begins"])
def test_a_worker_that_is_lost_before_all_are_begun_stops_nothing(made, tables, tmp_path, monkeypatch, when):
    """A pool that broke refuses more work, and ends the workers that it knows; for one that it begins then it waits."""
    begun, begin = [], SpawnProcess.start

    def start(process):
        begun.append(process)
        late = when == "while the next begins"
        if late:
            begin(process)
        if len(begun) == 2:
            begun[0].kill()
            time.sleep(0.5)  # the pool notices it
        if not late:
            begin(process)

    monkeypatch.setattr(SpawnProcess, "start", start)
    kept, _, _ = everything(made, tmp_path, Engine(3))
    assert len(begun) > 3 and kept == digests(tables)
    assert not set(begun) & set(multiprocessing.active_children())


def _waits(group):
    """Work that is seen to begin, and ends when it may; the first at once."""
    folder, number = group
    (folder / f"{number}.begun").touch()
    while number and not (folder / "may end").exists():
        time.sleep(0.01)
    return number


def test_whoever_stops_does_not_wait_for_work_that_was_not_begun(tmp_path, monkeypatch):
    class Pool(ProcessPoolExecutor):
        def shutdown(self, *given, **how):
            threading.Timer(1, (tmp_path / "may end").touch).start()
            super().shutdown(*given, **how)

    monkeypatch.setattr(engine, "mapped", _waits)
    monkeypatch.setattr(engine, "ProcessPoolExecutor", Pool)
    work = Engine(2).run([(tmp_path, number) for number in range(60)])
    assert next(work) == 0
    work.close()
    assert len(list(tmp_path.glob("*.begun"))) < 20


@dataclass(frozen=True)
class _LosesAWorker(Engine):
    """Kills a worker as soon as the first group has come back, while others are under way."""

    victim: int = 0

    def run(self, groups):
        for number, group in enumerate(super().run(groups)):
            if number == 0:
                os.kill(self.victim, signal.SIGKILL)
            yield group


@pytest.mark.dear
def test_a_cluster_of_which_a_worker_is_killed_gives_the_same_bytes(made, tables, tmp_path):
    distributed = pytest.importorskip("distributed", reason="the extra fleet is not installed")
    with (
        distributed.LocalCluster(2, threads_per_worker=1, dashboard_address=None, silence_logs=50) as cluster,
        distributed.Client(cluster, set_as_default=False) as client,
    ):
        pids = client.run(os.getpid)
        victim = next(iter(pids.values()))
        by = _LosesAWorker(scheduler=cluster.scheduler_address, victim=victim)
        kept, _, _ = everything(made, tmp_path, by)
    assert kept == digests(tables)


def test_no_scheduler_is_said_plainly(made, tmp_path, monkeypatch):
    pytest.importorskip("distributed", reason="the extra fleet is not installed")
    monkeypatch.setattr(engine, "ANSWERS_IN", "2s")
    with pytest.raises(StartrollError, match="scheduler"):
        list(Engine(scheduler="tcp://127.0.0.1:9").run(grouped([], Asked(), {})))


def test_a_summary_is_reused_as_long_as_nothing_changed(plants, tmp_path):
    folder = tmp_path / "kept"
    first = roll_up([str(plants)], Asked(today=DAY), keep_in=folder)
    assert first.reused == 0
    kept = digests(folder)
    assert roll_up([str(plants)], Asked(today=DAY), keep_in=folder).reused == len(first.league)
    one = min(plants.glob("*.db"))
    os.utime(one)  # another time, and the same bytes
    assert roll_up([str(plants)], Asked(today=DAY), keep_in=folder).reused == len(first.league)
    assert digests(folder) == kept
    _rename_the_site(one)
    again = roll_up([str(plants)], Asked(today=DAY), keep_in=folder)
    assert again.reused == len(first.league) - 1
    assert "Otherwise" in [standing.plant.name for standing in again.league]
    assert roll_up([str(plants)], Asked(today=DAY, measured_only=True), keep_in=folder).reused == 0
    assert set(Kept(folder).heads()) == {standing.plant.key for standing in again.league}


def _rename_the_site(path):
    """A change that leaves the file's size and, here, its time as they were."""
    import sqlite3

    seen = path.stat()
    connection = sqlite3.connect(path)
    connection.execute("UPDATE site SET site = 'Otherwise'")
    connection.commit()
    connection.close()
    os.utime(path, ns=(seen.st_atime_ns, seen.st_mtime_ns))
