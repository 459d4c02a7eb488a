"""How the parts of a visit can follow each other in time, wherever they are and whoever does them."""

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from solver.clock import DAY_MIN
from solver.masks.bits import ALL, known_runs, minutes_of, span
from solver.masks.waits import Offsets
from solver.visits import Part


class Waiting:
    """The minutes in which the patient may wait between the parts, as may be in them."""

    def __init__(self, parts: Sequence[Part], minutes: int) -> None:
        self.parts = parts
        self.minutes = minutes
        known: dict[int, int] = {}
        self._whole = [known_runs(minutes, part.minutes, known) for part in parts]
        self._steps = [self._steps_up_to(part.max_wait_min, known) for part in parts]

    def _steps_up_to(self, most: int | None, known: dict[int, int]) -> list[tuple[int, int]]:
        """Minutes to go on by, one step after the other, so that every wait up to the longest is a sum of some.

        Each with the minutes from which one may wait so long.
        """
        steps, waited, left = [], 0, DAY_MIN if most is None else min(most, DAY_MIN)
        while waited < left:
            more = min(waited + 1, left - waited)
            clear = known_runs(self.minutes, more, known)
            if not clear:
                break
            steps.append((more, clear))
            waited += more
        return steps

    def narrowed(self, own: Sequence[int]) -> tuple[int, ...] | None:
        """Those of each part's own starts from which the parts after it can follow; None where a part has none."""
        fits: list[int] = []
        reached = ALL
        for i in range(len(own) - 1, -1, -1):
            mask = own[i] & self._whole[i]
            if fits:
                mask &= reached >> self.parts[i].minutes
            if not mask:
                return None
            fits.append(mask)
            reached = mask
            for more, clear in self._steps[i]:
                reached |= (reached >> more) & clear
        fits.reverse()
        return tuple(fits)

    def after(self, index: int, before: int) -> int:
        """The minutes until which one may wait for a part after these starts of the part before it."""
        reached = before << self.parts[index - 1].minutes
        for more, clear in self._steps[index]:
            reached |= (reached & clear) << more
        return reached

    def until(self, index: int, end: int) -> int:
        """The same where the part before ends at this minute."""
        most = self.parts[index].max_wait_min
        blocked = (ALL & ~self.minutes) >> end
        clear = (blocked & -blocked).bit_length() - 1 if blocked else DAY_MIN - end
        return span(end, end + min(clear, DAY_MIN if most is None else most) + 1)


@dataclass(frozen=True, slots=True)
class Line:
    """``fits[i]``: the starts of part i from which the rest can follow."""

    waiting: Waiting
    fits: tuple[int, ...]

    def spacings(self, start: int) -> Iterator[Offsets]:
        """Every way to space the parts from this start on, the shortest wait in all first."""
        parts = self.waiting.parts
        queue: list[tuple[int, tuple[int, ...]]] = [(0, (start,))]
        while queue:
            waited, begun = heapq.heappop(queue)
            i = len(begun)
            if i == len(parts):
                yield tuple(minute - start for minute in begun)
                continue
            end = begun[-1] + parts[i - 1].minutes
            for minute in minutes_of(self.fits[i] & self.waiting.until(i, end)):
                heapq.heappush(queue, (waited + minute - end, (*begun, minute)))
