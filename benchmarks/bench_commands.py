"""Processor seconds and peak memory of whole commands, as a person waits for them.

Run by hand: python benchmarks/bench_commands.py [--copies 1 100] [--program startroll] [--only audit]

Each command is a process of its own on the demo plant (180 positions), or on the demo plant many times
over (samples/copies.py). Beside it stand two measures of the machine: a bare read of the same table of
facts, and a bare typer program that prints its help. The least of the runs is told. The program should
be an installation without the tests' packages, as a plant has it.
"""

import argparse
import os
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

HERE = Path(__file__).resolve().parent
SAMPLES = HERE.parent / "samples"
sys.path.insert(0, str(SAMPLES))
from copies import NOT_TABLES, copies  # noqa: E402

DAY = "2026-11-25"
TAG, RULE = "A-2105", "overload/set-after-motor-change"
SITE = ("--site", "Benchmark", "--practice", "us", "--frequency", "60", "--time-zone", "America/Denver")
# An installation has its modules compiled; so has this one after its first run.
AS_INSTALLED = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
# The sheets of so many copies are longer than what is taken in by itself.
AS_INSTALLED["STARTROLL_MOST_MB"] = "1000"
FACTS = ("VIEW gap", "TABLE gap_reason", "TABLE facts_state", "TABLE facts")
READ = "a bare read of the facts"
BARE_TYPER = """
import typer
app = typer.Typer(add_completion=False, rich_markup_mode=None)
app.command("first")(lambda: None)
app.command("second")(lambda: None)
app(["--help"])
"""
BARE_READ = "import sqlite3, sys; sqlite3.connect(sys.argv[1]).execute('SELECT * FROM facts').fetchall()"


class Cost(NamedTuple):
    """What a process took, with its children: processor seconds, and the most memory that one of them held."""

    cpu_s: float
    peak_mib: float


def cost(*words: str) -> Cost:
    """What one run of a command took; RuntimeError where it did not do its work."""
    with tempfile.TemporaryFile() as out:
        child = subprocess.Popen(words, stdout=out, stderr=subprocess.STDOUT, env=AS_INSTALLED)
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode not in (0, 1):
            out.seek(0)
            raise RuntimeError(f"{' '.join(words)}: {out.read().decode()[-2000:]}")
    return Cost(used.ru_utime + used.ru_stime, used.ru_maxrss / (2**20 if sys.platform == "darwin" else 2**10))


def least(runs: int, *words: str) -> Cost:
    """The least that a command took in several runs."""
    return min(cost(*words) for _ in range(runs))


def made(program: str, folder: Path, count: int) -> Path:
    """A register of the demo plant `count` times over."""
    sheets = SAMPLES / "demo-plant"
    if count > 1:
        copies(sheets, count, folder / "sheets")
        sheets = folder / "sheets"
    register = folder / "plant.db"
    lists = [str(path) for path in sorted(sheets.glob("*.csv")) if path.stem not in NOT_TABLES | {"site"}]
    cost(program, "new", str(register), *SITE)
    cost(program, "take-in", *lists, "--register", str(register))
    return register


def without_facts(register: Path) -> None:
    """Have the next command work the facts out anew."""
    with closing(sqlite3.connect(register, isolation_level=None)) as conn:
        for relation in FACTS:
            conn.execute(f"DROP {relation.replace(' ', ' IF EXISTS ')}")


def measured(program: str, register: Path, runs: int) -> Iterator[tuple[str, Cost]]:
    """Each command's name and cost, in the order of a day's work."""
    at = ("--register", str(register))
    on = (*at, "--today", DAY)
    yield "--help", least(runs, program, "--help")
    yield "audit, facts not ready", cost(program, "audit", *on)
    yield READ, least(5, sys.executable, "-c", BARE_READ, str(register))
    yield "audit", least(runs, program, "audit", *on)
    yield "show", least(runs, program, "show", TAG, *at)
    yield "positions", least(runs, program, "positions", *at)
    yield "explain", least(runs, program, "explain", TAG, RULE, *on)
    cost(program, "audit", *on, "--keep")
    yield "correct", cost(program, "correct", TAG, "starts_per_hour", "0.6", "--reason", "counted", *at)
    yield "explain after an edit", cost(program, "explain", TAG, RULE, *on)
    cost(program, "correct", TAG, "starts_per_hour", "0.7", "--reason", "counted", *at)
    yield "audit after an edit", cost(program, "audit", *on)
    yield "to-collect", least(runs, program, "to-collect", *on)
    yield "report --html", cost(program, "report", *on, "--html", str(register.with_name("page.html")))
    cost(program, "audit", *on, "--keep")
    yield "compare", least(runs, program, "compare", "1", "2", *at)
    if runs > 1:  # they plan one plant
        yield "spares", cost(program, "spares", *on)
        yield "plan", cost(program, "plan", "--budget", "250000", *on)


def main() -> None:
    """Print a table for each size of plant."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--copies", type=int, nargs="+", default=[1, 100], help="How often the demo plant is there.")
    parser.add_argument("--program", default=str(Path(sys.executable).with_name("startroll")))
    asked = parser.parse_args()
    typer = least(5, sys.executable, "-c", BARE_TYPER)
    print(f"a bare typer program: {typer.cpu_s:.2f} s, {typer.peak_mib:.0f} MiB")
    for count in asked.copies:
        with tempfile.TemporaryDirectory() as folder:
            register = made(asked.program, Path(folder), count)
            print(f"\n{180 * count:,} positions{'':12} CPU s  peak MiB  x bare read  x bare typer")
            read = None
            for name, took in measured(asked.program, register, 5 if count == 1 else 1):
                read = took if name == READ else read
                of_read = f"{took.cpu_s / read.cpu_s:11.1f}" if read else " " * 11
                of_typer = f"{took.cpu_s / typer.cpu_s:12.1f}"
                print(f"{name:24}  {took.cpu_s:6.2f}  {took.peak_mib:8.0f}  {of_read}  {of_typer}", flush=True)


if __name__ == "__main__":
    main()
