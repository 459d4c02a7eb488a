"""Runs one entry in a process of its own, so that time and memory are its own."""

import importlib
import multiprocessing
import os
import resource
import traceback
from dataclasses import replace
from multiprocessing.connection import Connection

from tests.bench.cases import Case
from tests.bench.outcome import Outcome

GRACE_SECONDS = 60
"""Besides its seconds an entry may take this long to make the day, to build its model and to stop."""


def run_alone(entry: str, case: Case) -> Outcome:
    """The outcome with the process's greatest memory; a note where it came to nothing or had to be ended.

    ``entry``: ``module:function``, imported there and not here, so that this process stays small: a new process starts
    out with the greatest memory of the one that made it.
    """
    context = multiprocessing.get_context("spawn")
    receiver, sender = context.Pipe(duplex=False)
    process = context.Process(target=_run, args=(entry, case, sender))
    process.start()
    sender.close()
    try:
        if not receiver.poll(2 * case.seconds + GRACE_SECONDS):
            return Outcome(note=f"ended after {2 * case.seconds + GRACE_SECONDS:.0f} s without an answer")
        outcome: Outcome = receiver.recv()
        return outcome
    except EOFError:
        return Outcome(note="its process died, most likely for want of memory")
    finally:
        process.kill()
        process.join()


def _run(entry: str, case: Case, sender: Connection) -> None:
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # some solvers greet
    try:
        module, function = entry.split(":")
        outcome: Outcome = getattr(importlib.import_module(module), function)(case)
    except Exception:
        outcome = Outcome(note=f"failed: {traceback.format_exc(limit=-1).splitlines()[-1]}")
    memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    sender.send(replace(outcome, memory_mb=outcome.memory_mb or memory_mb))
    sender.close()
