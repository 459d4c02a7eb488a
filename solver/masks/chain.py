"""Visits of many parts, or with much time between them: part by part, where one by one their spacings are too many."""

from functools import cached_property

from solver.masks.alone import parts_alone
from solver.masks.bits import ALL
from solver.masks.starts import Starts
from solver.masks.waits import Offsets


class Chain:
    """For each part of a visit the minutes at which it could start if it were alone: necessary, not sufficient."""

    def __init__(self, starts: Starts) -> None:
        self.starts = starts
        self.visit = starts.visit

    @cached_property
    def alone(self) -> list[int]:
        return [part.anywhere for part in parts_alone(self.starts)]

    def starts_of(self, offsets: Offsets) -> int:
        """Visit starts at which every part could start, if it were alone."""
        found = ALL
        for mask, offset in zip(self.alone, offsets, strict=True):
            found &= mask >> offset
        return found

    def from_start(self, start: int) -> Offsets | None:
        """Each part as soon after the one before as it could start; None where one finds no minute in time."""
        offsets, end = [0], start + self.visit.parts[0].minutes
        for part, mask in zip(self.visit.parts[1:], self.alone[1:], strict=True):
            later = mask >> end
            if not later:
                return None
            wait = (later & -later).bit_length() - 1
            if part.max_wait_min is not None and wait > part.max_wait_min:
                return None
            offsets.append(end + wait - start)
            end += wait + part.minutes
        return tuple(offsets)
