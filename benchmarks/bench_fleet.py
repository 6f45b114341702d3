"""Many registers to one roll-up: seconds, memory, reuse, the same bytes from any number of workers.

Run by hand: python benchmarks/bench_fleet.py [--plants 200] [--positions 180] [--whole] [--folder PLACE] [--made PLACE]
Asked: 1,000,000 positions in 5,556 registers (`--whole`; 16 GB of registers) with facts built in 180 s on 2 cores and
1 GiB, unchanged again in 30 s. What fewer plants take is scaled to 5,556, and said to be. Where others use the computer
too, the seconds of the processor are what counts: so many by 2 cores is the least that it takes.
"""

import argparse
import hashlib
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import suppress
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "samples"))

import psutil
from fleet import HERE, fleet

from register.facts.chunks import cores
from register.fleet.asked import Asked
from register.fleet.engine import Engine
from register.fleet.rollup import roll_up
from register.reports.fleet.document import page

WHOLE = 5_556
DAY = date(2026, 11, 25)
UNBUILT = 20  # registers without facts


def timed(places, folder, engine, confidential=False):
    """Seconds by the clock and of the processor, and the report."""
    wall, used = time.perf_counter(), cpu()
    report = roll_up([str(places)], Asked(today=DAY), engine=engine, keep_in=folder, confidential=confidential)
    return time.perf_counter() - wall, cpu() - used, report


def cpu():
    return sum(
        u.ru_utime + u.ru_stime for u in map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    )


class Memory(threading.Thread):
    """The most that this process and its workers have held together, looked at twice a second: as `most`, MiB.

    What they share is counted once, where the system tells it.
    """

    def __init__(self):
        super().__init__(daemon=True)
        self.most, self.done = 0, threading.Event()
        self.start()

    def run(self):
        program = psutil.Process()
        while True:
            held = 0
            for process in (program, *program.children(recursive=True)):
                with suppress(psutil.Error):
                    memory = process.memory_full_info()
                    held += getattr(memory, "pss", memory.rss)
            self.most = max(self.most, held // 2**20)
            if self.done.wait(0.5):
                return


def digest(report, folder):
    found = hashlib.sha256(page(report).encode())
    for path in sorted(folder.rglob("*.parquet")):
        found.update(str(path.relative_to(folder)).encode() + path.read_bytes())
    return found.hexdigest()


def on_cluster(places, folder):
    """By a local cluster of which one worker is killed on the way."""
    import distributed

    with distributed.LocalCluster(2, threads_per_worker=1, dashboard_address=None, silence_logs=50) as cluster:
        with distributed.Client(cluster, set_as_default=False) as client:
            victim = next(iter(client.run(os.getpid).values()))
        killer = threading.Timer(5, os.kill, (victim, signal.SIGKILL))
        killer.start()
        seconds, _, report = timed(places, folder, Engine(scheduler=cluster.scheduler_address))
        killer.cancel()
    return seconds, report


def of_built(places, plants, positions, scratch):
    """Facts built: the first run, and a second over unchanged registers."""
    kept, scale = scratch / "kept", WHOLE / plants
    print(f"{plants} registers of {positions} positions, facts built, {cores()} cores, load {os.getloadavg()[0]:.1f}:")
    for what, asked in (("judged", 180), ("unchanged again", 30)):
        memory = Memory()
        seconds, used, report = timed(places, kept, Engine(cores()))
        memory.done.set()
        scaled = "" if plants == WHOLE else f"; scaled to {WHOLE}: {seconds * scale:.0f} s, {used * scale:.0f} s"
        print(
            f"  {what} ({report.reused} reused): {seconds:.1f} s, {used:.1f} s of processor, "
            f"{1000 * used / plants:.1f} ms a register{scaled} (asked {asked} s on 2 cores)"
        )
        print(f"    {memory.most} MiB at most in the program and its workers together (asked 1024)")
    return digest(report, kept)


def of_unbuilt(scratch, positions):
    places = scratch / "unbuilt"
    fleet(places, UNBUILT, positions, facts=False)
    _, used, _ = timed(places, scratch / "kept-unbuilt", Engine(1))
    print(f"  {1000 * used / (UNBUILT * positions):.1f} s of processor for 1,000 positions, facts not built")


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--plants", type=int, default=200)
    parser.add_argument("--positions", type=int, default=180)
    parser.add_argument("--whole", action="store_true", help="5,556 plants, once, and no comparison of engines")
    parser.add_argument("--folder", type=Path, help="where the registers are written; by default a scratch folder")
    parser.add_argument("--made", type=Path, help="registers made before; made there where they are not, and left")
    asked = parser.parse_args()
    plants = WHOLE if asked.whole else asked.plants
    with tempfile.TemporaryDirectory(prefix="startroll-bench-", dir=asked.folder) as folder:
        scratch = Path(folder)
        places, begun = asked.made or scratch / "plants", time.perf_counter()
        if len(list(places.glob("*.db"))) != plants:
            # In a process of its own: what it holds is not the program's.
            made = (HERE / "fleet.py", places, "--plants", plants, "--positions", asked.positions)
            subprocess.run([sys.executable, *map(str, made)], stdout=subprocess.DEVNULL, check=True)
            print(f"{plants} registers made in {time.perf_counter() - begun:.0f} s", flush=True)
        first = of_built(places, plants, asked.positions, scratch)
        of_unbuilt(scratch, asked.positions)
        if asked.whole:
            return
        for workers in (1, 4):
            kept = scratch / f"kept-{workers}"
            same = digest(timed(places, kept, Engine(workers))[2], kept) == first
            print(f"  {workers} workers: {'the same bytes' if same else 'OTHER BYTES'}")
            shutil.rmtree(kept)
        seconds, report = on_cluster(places, scratch / "kept-cluster")
        same = digest(report, scratch / "kept-cluster") == first
        print(
            f"  a cluster, one worker killed on the way: {'the same bytes' if same else 'OTHER BYTES'}, {seconds:.1f} s"
        )


if __name__ == "__main__":
    main()
