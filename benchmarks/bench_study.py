"""Time, memory and error of the study of starts: fit, march and stress of random motors, in all three shapes.

Run by hand: python benchmarks/bench_study.py [motors] [processes] [checked against scipy]
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import resource
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent))  # this copy, whichever is installed
sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "helpers"))

from start_cases import drawn, integrated, plates

from register.calc import stress
from register.calc.machine import fit
from register.calc.speed_domain import march
from register.calc.start_course import STARTS
from register.calc.start_shapes import BAND
from register.facts.standard_tables import load_tables

BLOCK = 5000
CLASSES = ("5", "10A", "10", "20", "30")
TABLE = load_tables()["trip-classes"]
PARTS = ("fit", "march", "stress")


def studied(seed, size):
    """One block: seconds of processor in each part; verdicts, start times and squares."""
    case, given = drawn(size, seed), plates(size, seed)
    thrice = np.tile(np.arange(size), len(BAND))
    three = {name: part.take(thrice) for name, part in case.items()}
    clock = [time.process_time()]
    three["machine"] = fit(plate=given, shape=BAND)
    clock.append(time.process_time())
    course = march(**three | {"stop_slip": 2 * three["machine"].s_fl})
    clock.append(time.process_time())
    stressed(course, three, size * len(BAND))
    clock.append(time.process_time())
    squares = course.motor_di2.sum(axis=0)
    return np.diff(clock), np.stack([course.status, course.start_s, squares])[:, :size]


def yardstick():
    """Seconds of a fixed piece of arithmetic on this machine as busy as it is, to hold the figures against."""
    values = np.linspace(0.1, 2.0, 500_000)
    start = time.process_time()
    for _ in range(20):
        values = np.sqrt(values * values + 0.1) ** 1.01
    return time.process_time() - start


def stressed(course, case, size):
    """All that a study asks of a course: each class of relay, three multiples, and the rest."""
    for name in CLASSES:
        trip_class = np.full(size, name, object)
        stress.overload(march=course, trip_class=trip_class, trip_classes_table=TABLE)
    for multiple in (2.0, 3.0, 4.0):
        stress.above_s(march=course, multiple=multiple)
    stress.motor_heat(march=course, locked_rotor_ratio=6.0, hot_stall_s=12.0)
    stress.device_equivalent_s(march=course, multiple=4.0, rated_xfla=1.0)
    stress.long_time_share(march=course, set_xfla=1.2, delay_s=12.0)
    stress.torque_margin_pct(march=course, machine=case["machine"])
    stress.energy_kwh(march=course, machine=case["machine"])
    about = {n: case[n] for n in ("machine", "load", "supply", "stop_slip")}
    stress.lowest_limit_xfla(**about)


def worst_error(results, size, checked):
    """Worst errors of start time and ∫i²dt [%], and verdicts that differ, in the first block."""
    case, (status, seconds, squares) = drawn(size, 0), results[0][1]
    fitted = np.flatnonzero(case["machine"].ok)[:checked]
    reference = np.array([integrated(case, i) for i in fitted])
    up = (reference[:, 0] == STARTS) & (status[fitted] == STARTS)
    errors = [
        100 * np.abs(found[fitted][up] / reference[up, column] - 1).max()
        for found, column in ((seconds, 1), (squares, 2))
    ]
    return *errors, int(np.sum(status[fitted] != reference[:, 0])), len(fitted)


def peak_mib(whose):
    return resource.getrusage(whose).ru_maxrss / 1024


def main(count, processes, checked):
    sizes = [min(BLOCK, count - first) for first in range(0, count, BLOCK)]
    with ProcessPoolExecutor(processes) as pool:
        list(pool.map(studied, range(processes), [100] * processes))
        start = time.perf_counter()
        results = list(pool.map(studied, range(len(sizes)), sizes))
        whole = time.perf_counter() - start
    inside = np.sum([seconds for seconds, _ in results], axis=0)
    print(
        f"{count} motors, {processes} processes: {inside.sum() / processes:.2f} s of processor"
        f" each, {whole:.2f} s by the clock with inventing them"
    )
    print(f"  {inside.sum() / yardstick():.0f} times the yardstick, which took {yardstick():.2f} s")
    for name, seconds in zip(PARTS, inside, strict=True):
        print(f"  {name}: {1e6 * seconds / count:.0f} µs a motor and process")
    verdicts = np.concatenate([found[0] for _, found in results])
    words = ("unknown", "start", "stall", "do not turn")
    counts = [f"{np.sum(verdicts == place - 1)} {word}" for place, word in enumerate(words)]
    print("  " + ", ".join(counts))
    print(
        f"peak memory {peak_mib(resource.RUSAGE_CHILDREN):.0f} MiB a process,"
        f" {peak_mib(resource.RUSAGE_SELF):.0f} MiB here"
    )
    time_pct, squares_pct, differing, asked = worst_error(results, sizes[0], checked)
    print(
        f"against scipy, {asked} motors: start time {time_pct:.2f} %, I²t {squares_pct:.2f} % at"
        f" worst, {differing} verdicts differ"
    )


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:]]
    main(*given, *(100_000, os.cpu_count() or 1, 200)[len(given) :])
