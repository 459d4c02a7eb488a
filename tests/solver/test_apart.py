"""A task apart: its result, its fault, and that the interpreter waits for it whoever started it."""

import subprocess
import sys
import threading
from pathlib import Path

import pytest

from solver.apart import Apart


def test_the_result_is_there_once_it_is_done() -> None:
    go = threading.Event()
    apart = Apart(lambda: go.wait(10) and 7)
    assert not apart.done()
    go.set()
    assert apart.done(within=10)
    assert apart.result() == 7


def test_what_it_raised_is_raised_where_the_result_is_asked_for() -> None:
    def fails() -> None:
        raise LookupError("for the test")

    apart = Apart(fails)
    assert apart.done(within=10)
    with pytest.raises(LookupError, match="for the test"):
        apart.result()


def test_the_interpreter_waits_for_it_even_if_a_daemon_started_it() -> None:
    program = """
import threading, time
from solver.apart import Apart
def task():
    time.sleep(0.3)
    print("ended by itself", flush=True)
starter = threading.Thread(target=lambda: Apart(task), daemon=True)
starter.start()
starter.join()
"""
    root = Path(__file__).parents[2]
    ran = subprocess.run([sys.executable, "-c", program], cwd=root, capture_output=True, text=True, check=True)
    assert ran.stdout == "ended by itself\n"
