"""The map run on one core, on a pool of processes, or on a Dask cluster: the same work, whatever does it.

Groups of registers are handed out; whoever makes a summary, and in whatever order, it comes out the same. A group
whose worker was lost is handed out anew, and after some such losses its registers are tried one by one.
"""

from __future__ import annotations

import gc
import multiprocessing
import shlex
import signal
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from itertools import pairwise
from multiprocessing.process import BaseProcess

from register.errors import Problem, StartrollError
from register.facts.chunks import pipes_may_break
from register.fleet.asked import Asked
from register.fleet.extra import needed
from register.fleet.kept import AT_ONCE, Known, Part, encoded
from register.fleet.places import Place
from register.fleet.summary import refused, summaries

# Registers of a group: fewer do not pay for being judged in one scan, more take more memory than they save time.
GROUP, MOST = 20, AT_ONCE
SHARES = 16  # groups, if need be small ones, so that each of some workers has its share
TRIES = 3
ANSWERS_IN = "20s"
LOST = "its worker was lost each time that it was judged; perhaps there was too little memory"


@dataclass(frozen=True)
class Group:
    """Registers that are judged together, and what is kept of them."""

    places: tuple[Place, ...]
    asked: Asked
    known: Mapping[str, Known]


@dataclass(frozen=True)
class Engine:
    """What does the work: so many processes of this computer, or a Dask scheduler's workers."""

    workers: int = 1
    scheduler: str | None = None

    def run(self, groups: Sequence[Group]) -> Iterator[Part]:
        """The summaries of each group, in whatever order they are done."""
        if self.scheduler is not None:
            yield from _on_cluster(groups, self.scheduler)
        elif self.workers > 1 and len(groups) > 1:
            yield from _in_pool(groups, self.workers)
        else:
            yield from map(mapped, groups)


def grouped(places: Sequence[Place], asked: Asked, known: Mapping[str, Known]) -> list[Group]:
    """Registers in groups, in their order: of `GROUP` or more where there are so many, of many `MOST`.

    `MOST` are so many as are kept together; what is left over, if it is less than `GROUP`, goes with the last.
    """
    count, every = len(places), range(0, len(places), MOST)
    several = max(1, min(count // GROUP, SHARES))
    evenly = [count * number // several for number in range(several)]
    begins = [begin for begin in every if count - begin >= GROUP] if count >= MOST * SHARES else evenly
    parts = [tuple(places[a:b]) for a, b in pairwise([*begins, count]) if b > a]
    return [Group(part, asked, {p.key: known[p.key] for p in part if p.key in known}) for part in parts]


def mapped(group: Group) -> Part:
    """The summaries of one group, as files."""
    # Many small objects, and hardly a circle of them to look for: that can wait for the end of the group.
    waits = gc.isenabled()
    gc.disable()
    try:
        made = summaries(group.places, group.asked, group.known)
        return encoded((one.plant, one.day, one.tables) for one in made)
    finally:
        if waits:
            gc.enable()


def _refused(group: Group) -> Part:
    made = [
        refused(place, group.asked, StartrollError(Problem(LOST, _judge_alone(place.told)))) for place in group.places
    ]
    return encoded((one.plant, one.day, one.tables) for one in made)


def _judge_alone(told: str) -> str:
    """What to type for one register; what lies in an object store has to be fetched first."""
    if "://" in told:
        return f"fetch it, then judge it alone: startroll audit --register {shlex.quote(told.rsplit('/', 1)[-1])}"
    return f"judge it alone: startroll audit --register {shlex.quote(told)}"


def _alone(group: Group) -> list[Group]:
    return [Group((place,), group.asked, group.known) for place in group.places]


def _in_pool(groups: Sequence[Group], workers: int) -> Iterator[Part]:
    """By processes of this computer; where one is lost, the pool is made anew for what is not done."""
    waiting, tries = list(groups), 0
    while waiting:
        others = multiprocessing.active_children()
        # Processes that are begun anew, and not copied: a copy of one with threads may stop for ever.
        context = multiprocessing.get_context("spawn")
        pool = ProcessPoolExecutor(min(workers, len(waiting)), mp_context=context, initializer=_begin)
        with pipes_may_break(), pool:
            futures, left = _handed_out(pool, waiting)
            try:
                for future in as_completed(futures):
                    group = futures.pop(future)  # what it gave is let go once it is kept
                    try:
                        yield future.result()
                    except BrokenProcessPool:
                        left.append(group)
            finally:
                if left:
                    _end_all_but(others)
                pool.shutdown(cancel_futures=True)
        tries += bool(left)
        if tries >= TRIES:
            yield from _one_by_one(left)
            return
        waiting = left


def _begin() -> None:
    """Who interrupts the program interrupts the parent, which ends its workers."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _handed_out(pool: ProcessPoolExecutor, groups: Sequence[Group]) -> tuple[dict[Future[Part], Group], list[Group]]:
    """What each group will give; and the groups that were not handed out, for a worker was lost meanwhile.

    A pool that breaks then is told as that, or as an error of a pipe that it has closed.
    """
    futures: dict[Future[Part], Group] = {}
    for place, group in enumerate(groups):
        try:
            futures[pool.submit(mapped, group)] = group
        except (BrokenProcessPool, OSError):
            return futures, list(groups[place:])
    return futures, []


def _end_all_but(others: Sequence[BaseProcess]) -> None:
    """End what is left of a broken pool: it waits for ever for a worker that it began as it broke."""
    for process in multiprocessing.active_children():
        if process not in others:
            process.kill()


def _one_by_one(groups: Sequence[Group]) -> Iterator[Part]:
    """Each register in a process of its own, so that one that ends its worker takes no other along."""
    context = multiprocessing.get_context("spawn")
    for group in (one for several in groups for one in _alone(several)):
        with pipes_may_break(), ProcessPoolExecutor(1, mp_context=context) as pool:
            try:
                yield pool.submit(mapped, group).result()
            except BrokenProcessPool:
                yield _refused(group)


def _on_cluster(groups: Sequence[Group], scheduler: str) -> Iterator[Part]:
    """By the workers of a Dask scheduler, which hands out anew what a lost worker had."""
    distributed = needed("distributed")
    try:
        client = distributed.Client(scheduler, timeout=ANSWERS_IN)
    except (OSError, ValueError) as error:
        raise StartrollError(Problem(f"no scheduler answers: {error}", "tcp://HOST:8786", scheduler)) from None
    with client:
        waiting = list(groups)
        for last in (False, True):
            futures = {client.submit(mapped, group, pure=False, retries=TRIES): group for group in waiting}
            waiting = []
            for future in distributed.as_completed(list(futures)):
                group = futures.pop(future)
                try:
                    yield future.result()
                except distributed.KilledWorker:
                    if last:
                        yield _refused(group)
                    else:
                        waiting += _alone(group)
            if not waiting:
                return
