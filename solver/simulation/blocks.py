"""The runs in blocks, here or in processes of their own: the result is the same however many there are."""

import signal
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import BrokenExecutor, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context
from typing import TypeVar

from solver.errors import SimulationBrokenError
from solver.simulation.chance import Chance, block_random, draw
from solver.simulation.day_run import DayRun
from solver.simulation.layout import Layout
from solver.simulation.settings import Settings
from solver.simulation.tally import Tally

BLOCK_RUNS = 50

Argument = TypeVar("Argument")
Answer = TypeVar("Answer")
Pool = ProcessPoolExecutor | None


def chances(layout: Layout, settings: Settings, seed: int, runs: int, first_block: int = 0) -> Iterator[Chance]:
    """The chance of so many runs, from the beginning of a block on."""
    for start in range(0, runs, BLOCK_RUNS):
        random = block_random(seed, first_block + start // BLOCK_RUNS)
        for _ in range(min(BLOCK_RUNS, runs - start)):
            yield draw(layout, settings, random)


def run_block(task: tuple[Layout, Settings, int, int, int]) -> Tally:
    """The tally of one block: layout, settings, seed, its number, its runs."""
    layout, settings, seed, block, runs = task
    tally = Tally()
    for chance in chances(layout, settings, seed, runs, block):
        tally.count(layout, DayRun(layout, chance, settings.late_limit).run())
    return tally


def blocks(layout: Layout, settings: Settings, seed: int, runs: int) -> list[tuple[Layout, Settings, int, int, int]]:
    """The arguments of ``run_block`` for all the runs."""
    return [
        (layout, settings, seed, start // BLOCK_RUNS, min(BLOCK_RUNS, runs - start))
        for start in range(0, runs, BLOCK_RUNS)
    ]


@contextmanager
def pool_of(workers: int) -> Iterator[Pool]:
    """Processes, which are let end what they are at where this one is interrupted; None for one worker."""
    if workers == 1:
        yield None
        return
    pool = ProcessPoolExecutor(workers, mp_context=get_context("spawn"))
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


@contextmanager
def _deaf_children() -> Iterator[None]:
    """Processes that are started meanwhile never hear Ctrl-C, which is for this one; it hears it afterwards."""
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def each(
    pool: Pool, function: Callable[[Argument], Answer], arguments: Sequence[Argument]
) -> Generator[Answer, None, None]:
    """The function's answers in the order of the arguments, each as soon as it and those before it are there.

    Raises SimulationBrokenError where a process of the pool is gone.
    """
    if pool is None:
        yield from map(function, arguments)
        return
    try:
        with _deaf_children():
            futures = [pool.submit(function, argument) for argument in arguments]
        for future in futures:
            yield future.result()
    except BrokenExecutor:
        raise SimulationBrokenError from None
