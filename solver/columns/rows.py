"""The rows of the programme: one placement for each visit, aims held, and each resource at the minutes that matter."""

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from itertools import accumulate

from solver.clinic import StaffMember
from solver.clock import DAY_MIN, Interval
from solver.columns.capacity import Capacity
from solver.columns.demand import Ask, Demand, Resource
from solver.columns.placements import Placement
from solver.columns.programme import Programme, Row
from solver.columns.staffing import Crew, crew_of
from solver.masks.waits import Offsets
from solver.names import AimName
from solver.problem import Day
from solver.visits import Visit
from solver.watches import watches_of

MOST_RESIDUES = 3
"""Minutes of a grid step at which hands and watch are counted; stays and items begin on the grid itself."""

_NOTHING: list[Ask] = []


class Rows:
    """Fills a programme; ``constant`` is to be added to its sum."""

    def __init__(self, day: Day, crews: Sequence[Crew], aim: AimName, held: Mapping[AimName, int]) -> None:
        self.day = day
        self.crews = crews
        self.aim = aim
        self.held = held
        self.programme = Programme()
        self.constant = sum(visit.priority for visit in day.visits) if aim == "placed" else 0
        self._watches = watches_of(day)
        self._demand = Demand(day, crews)
        self._capacity = Capacity(day, crews, self._watches)
        self._asks: dict[tuple[str, int, Offsets, int | None], list[Ask]] = {}
        self._residues = self._counted_residues()
        self._latest = self.programme.column(1.0) if aim == "finish" else None
        # What is placed is counted as less than nothing.
        total = sum(visit.priority for visit in day.visits)
        self._most_held: dict[Hashable, int] = {
            ("held", one): score - total if one == "placed" else score for one, score in held.items()
        }
        self._of_resources: dict[Resource, dict[int, Row]] = {}

    def cost(self, placement: Placement) -> int:
        """What the placement adds to the sum."""
        if self.aim == "placed":
            return -placement.visit.priority if placement.number == 0 else 0
        return placement.costs.get(self.aim, 0) if self.aim != "finish" else 0

    def entries(self, placement: Placement) -> Iterator[tuple[tuple[Hashable, ...], float]]:
        """The rows other than resources that the placement is in, and how."""
        visit, first = placement.visit, placement.number == 0
        yield ("visit", visit.id, placement.number), 1.0
        if self.aim == "finish":
            yield ("finish", visit.id, placement.number), -float(placement.costs["finish"])
        if placement.body is not visit:
            if not first:
                yield ("tie", visit.id, placement.number), -1.0
            else:
                yield from ((("tie", visit.id, other), 1.0) for other in range(1, len(visit.parts)))
        for aim in self.held:
            if aim == "placed" and first:
                yield ("held", "placed"), -float(visit.priority)
            elif aim not in ("placed", "finish") and placement.costs.get(aim):
                yield ("held", aim), float(placement.costs[aim])

    def add(self, placement: Placement) -> None:
        """One more column."""
        column = self.programme.column(self.cost(placement))
        for key, coefficient in self.entries(placement):
            row = self.programme.row(key) or self._row(key, placement.visit)
            row.add(column, coefficient)
        for ask in self._asked(placement):
            self._fill(ask, placement.start, column)

    def _row(self, key: tuple[Hashable, ...], visit: Visit) -> Row:
        """A visit is placed at most once, and surely where it is fixed; taken part by part, it has all or none."""
        new_row = self.programme.new_row
        match key:
            case ("visit", *_):
                return new_row(key, 0.0 if visit.fixed is None else 1.0, 1.0)
            case ("finish", *_):
                row = new_row(key, least=0.0)
                if self._latest is not None:
                    row.add(self._latest, 1.0)
                return row
            case ("tie", *_):
                return new_row(key, 0.0, 0.0)
            case _:
                return new_row(key, most=self._most_held[key])

    def add_breaks(self, breaks: Iterable[tuple[StaffMember, int, Sequence[int]]]) -> None:
        """Columns for every start of every break: a break takes a member and their watch while they are on duty."""
        for member, number, starts in breaks:
            minutes = member.breaks[number].minutes
            crew = crew_of(self.crews, member)
            key = ("break", member.id, number)
            for start in starts:
                column = self.programme.column()
                (self.programme.row(key) or self.programme.new_row(key, 1.0, 1.0)).add(column, 1.0)
                for since, until in member.hours:
                    away = Interval(max(since, start), min(until, start + minutes))
                    if away.minutes > 0:
                        self._fill(Ask(("crew", crew), away, 1), 0, column)
                        self._fill(Ask(("staff",), away, 1), 0, column)
                        self._fill(Ask(("watch",), away, self._watches[member.id][0]), 0, column)

    def _asked(self, placement: Placement) -> list[Ask]:
        if placement.far:
            return _NOTHING
        key = (placement.visit.id, placement.number, placement.offsets, placement.crew)
        if key not in self._asks:
            asks = self._demand.of(placement.visit, placement.parts, placement.offsets, placement.crew)
            self._asks[key] = list(asks)
        return self._asks[key]

    def _fill(self, ask: Ask, start: int, column: int) -> None:
        rows = self._of_resources.setdefault(ask.resource, {})
        for minute in self._counted(ask.resource, ask.minutes.start + start, ask.minutes.end + start):
            row = rows.get(minute)
            if row is None:
                most = self._capacity.at(ask.resource, minute)
                row = rows[minute] = self.programme.new_row((ask.resource, minute), most=most)
            row.add(column, ask.amount)

    def reduced(self, prices: Mapping[Hashable, float]) -> Callable[[Placement], float]:
        """What a placement would change the sum by, at these prices, were it taken: below 0 for one worth adding."""
        totals = self._totals(prices)
        asked: dict[int, list[tuple[list[float], int, int, int]]] = {}

        def of(placement: Placement) -> float:
            asks = self._asked(placement)
            priced = asked.get(id(asks))
            if priced is None:
                priced = asked[id(asks)] = [
                    (totals[ask.resource], ask.minutes.start, ask.minutes.end, ask.amount)
                    for ask in asks
                    if ask.resource in totals
                ]
            start, value = placement.start, float(self.cost(placement))
            for total, since, until, amount in priced:
                value -= amount * (total[start + until] - total[start + since])
            for row, coefficient in self.entries(placement):
                value -= coefficient * prices.get(row, 0.0)
            return value

        return of

    def _totals(self, prices: Mapping[Hashable, float]) -> dict[Resource, list[float]]:
        """For each resource with a price, and each minute, the prices of all minutes before it together."""
        at: dict[Resource, dict[int, float]] = {}
        for row, price in prices.items():
            if isinstance(row, tuple) and isinstance(row[0], tuple):
                at.setdefault(row[0], {})[row[1]] = price
        longest = 2 * DAY_MIN  # a turnaround may reach beyond the day
        return {
            resource: list(accumulate((of.get(minute, 0.0) for minute in range(longest)), initial=0.0))
            for resource, of in at.items()
        }

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
