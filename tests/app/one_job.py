"""What is worked out one at a time in a process: waited for, and work that never comes to its end."""

import time
from collections.abc import Callable
from typing import Any

from app.services.use.one_job import AskedT, OneJob


def ended(room: OneJob[AskedT, Any], seconds: float = 30) -> AskedT:
    """What was asked for last, once it has ended."""
    room.wait(seconds)
    current = room.current()
    assert current is not None
    assert current.ended
    return current


def never_ending(work: Callable[..., object], *given: Any) -> Any:
    """The work, stopped at its first look, and then nothing more: it never ends nor listens."""
    *asked, tell, _ = given
    work(*asked, tell, lambda: True)
    time.sleep(60)
    raise AssertionError("nobody waits this long")


def only_telling(progress: object, *given: Any) -> Any:
    """Tells of this progress, and then never ends nor listens."""
    tell = given[-2]
    tell(progress)
    time.sleep(60)
    raise AssertionError("nobody waits this long")
