"""A task in a thread of its own, so that its caller stays free: to improve meanwhile, to leave when told to."""

import threading
from collections.abc import Callable
from typing import Generic, TypeVar

Result = TypeVar("Result")


class Apart(Generic[Result]):
    """Runs ``task`` from now on. Not a daemon: it is told to end by its own means, and the interpreter waits for it."""

    def __init__(self, task: Callable[[], Result]) -> None:
        self._task = task
        self._result: list[Result] = []
        self._fault: BaseException | None = None
        # Said, since a thread takes after the one that starts it; ended in the solvers' code it would end the process.
        self._thread = threading.Thread(target=self._run, daemon=False)
        self._thread.start()

    def _run(self) -> None:
        try:
            self._result.append(self._task())
        except BaseException as fault:  # raised again where the result is asked for
            self._fault = fault

    def done(self, within: float = 0.0) -> bool:
        """True once the task has ended; waits so many seconds for it at most."""
        self._thread.join(within)
        return not self._thread.is_alive()

    def result(self) -> Result:
        """What the task came to, once it is done. Raises what it raised."""
        if self._fault is not None:
            raise self._fault
        return self._result[0]
