"""Visits of many parts, or with much time between them: part by part, where one by one their spacings are too many."""

from collections.abc import Sequence
from functools import cached_property

from solver.clinic import StaffMember
from solver.clock import Interval
from solver.masks.bits import ALL, union
from solver.masks.starts import Starts
from solver.masks.waits import Offsets


class Chain:
    """For each part of a visit the minutes at which it could start if it were alone: necessary, not sufficient."""

    def __init__(self, starts: Starts) -> None:
        self.starts = starts
        self.visit = starts.visit

    @cached_property
    def alone(self) -> list[int]:
        return [self._alone(index) for index in range(len(self.visit.parts))]

    def _alone(self, index: int) -> int:
        starts, ledger, part = self.starts, self.starts.ledger, self.visit.parts[index]
        stay = next(stay for stay in self.visit.stays if index in stay)
        found = ledger.grid & union(starts.of_part_at(index, site) for site in starts.shape.sites(stay))
        fixed = starts.shape.fixed[index].start
        if fixed is not None:
            found &= 1 << fixed
        by_therapist = []
        for phase, minutes in part.phases_at(0):
            if phase.unattended:
                found &= ledger.watch.runs(1, phase.minutes) >> minutes.start
            if phase.hands == "anyone":
                found &= ledger.anyone(phase.minutes) >> minutes.start
            elif phase.hands == "therapist":
                by_therapist.append(minutes)
        if by_therapist and found:
            found &= union(self._by(member, by_therapist) for member in starts.shape.therapists if member is not None)
        return found

    def _by(self, member: StaffMember, phases: Sequence[Interval]) -> int:
        found = ALL
        for minutes in phases:
            found &= self.starts.of_hands(member, minutes.minutes) >> minutes.start
        return found

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
