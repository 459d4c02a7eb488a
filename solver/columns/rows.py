"""The rows of the programme: one placement for each visit, aims held, and each resource at the minutes that matter."""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from math import gcd

from solver.clinic import StaffMember
from solver.clock import Interval
from solver.columns.capacity import Capacity
from solver.columns.demand import Ask, Demand, Resource
from solver.columns.placements import Placement
from solver.columns.programme import Programme
from solver.columns.staffing import Crew, crew_of
from solver.masks.waits import Offsets
from solver.names import AimName
from solver.problem import Day
from solver.watches import watches_of

MOST_RESIDUES = 3
"""Minutes of a grid step at which hands and watch are counted; stays and items begin on the grid itself."""


class Rows:
    """Fills a programme; ``constant`` is to be added to its sum, which is a multiple of ``common_divisor``."""

    def __init__(self, day: Day, crews: Sequence[Crew], aim: AimName, held: Mapping[AimName, int]) -> None:
        self.day = day
        self.crews = crews
        self.aim = aim
        self.held = held
        self.programme = Programme()
        self.constant = sum(visit.priority for visit in day.visits) if aim == "placed" else 0
        self.common_divisor = 0
        self._watches = watches_of(day)
        self._demand = Demand(day, crews)
        self._asks: dict[tuple[str, int, Offsets, int | None], list[Ask]] = {}
        self._residues = self._counted_residues()
        self._bodies: dict[str, set[int]] = {}
        self._latest = self.programme.column(1.0) if aim == "finish" else None

    def add(self, placement: Placement) -> None:
        """One more column."""
        visit, lp = placement.visit, self.programme
        first = placement.number == 0
        cost = placement.costs.get(self.aim, 0)
        if self.aim == "placed":
            cost = -visit.priority if first else 0
        self.common_divisor = gcd(self.common_divisor, abs(cost), self.constant)
        bodies = self._bodies.setdefault(visit.id, set())
        if self._latest is not None and placement.number not in bodies:
            lp.add(("finish", visit.id, placement.number), self._latest, 1.0)
        bodies.add(placement.number)
        column = lp.column(0.0 if self.aim == "finish" else cost)
        if self._latest is not None:
            lp.add(("finish", visit.id, placement.number), column, -float(cost))
        lp.add(("visit", visit.id, placement.number), column, 1.0)
        if placement.body is not visit:
            self._tie(placement, column)
        for aim in self.held:
            if aim == "placed" and first:
                lp.add(("held", "placed"), column, -visit.priority)
            elif aim not in ("placed", "finish") and placement.costs.get(aim):
                lp.add(("held", aim), column, placement.costs[aim])
        for ask in self._asked(placement):
            self._fill(ask, placement.start, column)

    def _tie(self, placement: Placement, column: int) -> None:
        """A visit that is taken part by part has all its parts or none: as much of the first as of each other."""
        if placement.number:
            self.programme.add(("tie", placement.visit.id, placement.number), column, -1.0)
            return
        for other in range(1, len(placement.visit.parts)):
            self.programme.add(("tie", placement.visit.id, other), column, 1.0)
            self.programme.limit(("tie", placement.visit.id, other), 0.0, 0.0)

    def add_breaks(self, breaks: Iterable[tuple[StaffMember, int, Sequence[int]]]) -> None:
        """Columns for every start of every break: a break takes a member and their watch while they are on duty."""
        for member, number, starts in breaks:
            minutes = member.breaks[number].minutes
            crew = crew_of(self.crews, member)
            for start in starts:
                column = self.programme.column()
                self.programme.add(("break", member.id, number), column, 1.0)
                for since, until in member.hours:
                    away = Interval(max(since, start), min(until, start + minutes))
                    if away.minutes > 0:
                        self._fill(Ask(("crew", crew), away, 1), 0, column)
                        self._fill(Ask(("staff",), away, 1), 0, column)
                        self._fill(Ask(("watch",), away, self._watches[member.id][0]), 0, column)
            self.programme.limit(("break", member.id, number), 1.0, 1.0)

    def close(self) -> None:
        """Set what each row allows, and drop the rows that allow everything."""
        capacity = Capacity(self.day, self.crews, self._watches)
        for row in self.programme.rows():
            kind = row[0] if isinstance(row, tuple) else row
            if isinstance(kind, tuple):
                most = capacity.at(kind, row[1])  # type: ignore[index]
                if self.programme.most_of(row) <= most:
                    self.programme.drop(row)
                else:
                    self.programme.limit(row, most=most)
        for visit in self.day.visits:
            for number in self._bodies.get(visit.id, {0}):
                self._limit_visit(visit.id, number, fixed=visit.fixed is not None)
        for aim, score in self.held.items():
            total = sum(visit.priority for visit in self.day.visits)
            self.programme.limit(("held", aim), most=score - total if aim == "placed" else score)

    def _limit_visit(self, id: str, number: int, *, fixed: bool) -> None:
        self.programme.limit(("visit", id, number), least=1.0 if fixed else 0.0, most=1.0)
        self.programme.limit(("finish", id, number), least=0.0)

    def _asked(self, placement: Placement) -> list[Ask]:
        key = (placement.visit.id, placement.number, placement.offsets, placement.crew)
        if key not in self._asks:
            asks = self._demand.of(placement.visit, placement.parts, placement.offsets, placement.crew)
            self._asks[key] = list(asks)
        return self._asks[key]

    def _fill(self, ask: Ask, start: int, column: int) -> None:
        since, until = ask.minutes.start + start, ask.minutes.end + start
        for minute in self._counted(ask.resource, since, until):
            row: Hashable = (ask.resource, minute)
            self.programme.add(row, column, ask.amount)

    def _counted(self, resource: Resource, since: int, until: int) -> Iterable[int]:
        step = self.day.step_min
        residues = self._residues if resource[0] in ("crew", "staff", "watch") else (0,)
        for residue in residues:
            yield from range(since + (residue - since) % step, until, step)

    def _counted_residues(self) -> tuple[int, ...]:
        """The minutes of a grid step at which most phases begin."""
        begun: dict[int, int] = {0: 0}
        for visit in self.day.visits:
            for part in visit.parts:
                for _, minutes in part.phases_at(0):
                    residue = minutes.start % self.day.step_min
                    begun[residue] = begun.get(residue, 0) + 1
        return tuple(sorted(begun, key=lambda residue: -begun[residue])[:MOST_RESIDUES])
