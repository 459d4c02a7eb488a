"""A day as a time-indexed model: one boolean for each part, unit and start, and a row for each thing that may run out.

What such a model cannot state, or only with many more booleans and rows, is dropped in its favour, see DROPPED: its
best score may be better than any right plan can reach. It knows the aims ``placed``, ``stable`` (starts and units) and
``wish``, weighted so that the one before is worth more than all of the one after.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations

from solver.clinic import StaffMember, Unit
from solver.clock import Interval
from solver.names import AimName
from solver.problem import Day
from solver.visits import Part, Visit

DROPPED = (
    "who the therapist is (therapist_must, the aim therapist and its share of stable), batteries, suction levels, "
    "moving between places, which bay, channel and item by name, what a waiting visit holds between its parts, minutes "
    "between grid points, the aims wait and finish"
)
OTHER_UNIT = 10
"""What another unit than the one told costs in ``stable``, as the aim has it."""
MOST_BOOLEANS = 150_000
"""A model with more is not built: each boolean is in some fifty rows, so that it would need many gigabytes."""

Terms = tuple[tuple[int, int], ...]


class TooLargeError(Exception):
    """The model would have more booleans than are built; the message says how many."""


@dataclass(frozen=True, slots=True)
class Row:
    """``least ≤ Σ coefficient × boolean ≤ most``; None: no limit."""

    terms: Terms
    least: int | None
    most: int | None


@dataclass(slots=True)
class TimeIndexed:
    """Booleans 0 … ``booleans`` - 1, their costs by aim, the most that each aim can cost, and rows.

    ``meaning``: the boolean of (visit, index of its part, unit, start), of (visit,) left out, and of (member, number of
    the break, start).
    """

    booleans: int = 0
    meaning: dict[tuple[str | int, ...], int] = field(default_factory=dict)
    costs: dict[AimName, dict[int, int]] = field(default_factory=dict)
    worst: dict[AimName, int] = field(default_factory=dict)
    rows: list[Row] = field(default_factory=list)

    def boolean(self, *meaning: str | int) -> int:
        self.meaning[meaning] = self.booleans
        self.booleans += 1
        return self.booleans - 1

    def row(self, terms: Iterable[tuple[int, int]], *, least: int | None = None, most: int | None = None) -> None:
        self.rows.append(Row(tuple(terms), least, most))

    def weights(self) -> Mapping[AimName, int]:
        """The weight of each aim in one sum: one minute of an aim outweighs all that the aims after it can cost."""
        weight, weights = 1, {}
        for aim in reversed(self.costs):
            weights[aim] = weight
            weight *= 1 + self.worst[aim]
        return dict(reversed(weights.items()))


def time_indexed(day: Day) -> TimeIndexed:
    """The model of a day. Raises TooLargeError."""
    return _Builder(day).model


class _Use:
    """Who takes how much of one thing at which grid minute."""

    def __init__(self) -> None:
        self.at: dict[int, list[tuple[int, int]]] = defaultdict(list)

    def add(self, boolean: int, minutes: Interval, amount: int, step: int) -> None:
        first = -(-minutes.start // step) * step
        for minute in range(first, minutes.end, step):
            self.at[minute].append((boolean, amount))


class _Builder:
    def __init__(self, day: Day) -> None:
        self.day = day
        self.model = TimeIndexed()
        self.starts: dict[tuple[str, int], list[tuple[int, Unit, int]]] = defaultdict(list)
        self.uses: dict[tuple[str, ...], _Use] = defaultdict(_Use)
        for aim in day.aims:
            if aim in ("placed", "stable", "wish"):
                self.model.costs[aim] = {}
                self.model.worst[aim] = 0
        self._refuse_if_too_large()
        for visit in day.visits:
            self._visit(visit)
        self._breaks()
        self._limits()

    def _refuse_if_too_large(self) -> None:
        count = sum(
            len(self._part_starts(visit, index, unit))
            for visit in self.day.visits
            for index in range(len(visit.parts))
            for unit in self._units(visit, index)
        )
        if count > MOST_BOOLEANS:
            raise TooLargeError(f"not built: {count:,} booleans, and {MOST_BOOLEANS:,} are the most that are tried")

    def _visit(self, visit: Visit) -> None:
        model, day = self.model, self.day
        for index, part in enumerate(visit.parts):
            for unit in self._units(visit, index):
                for start in self._part_starts(visit, index, unit):
                    boolean = model.boolean(visit.id, index, unit.id, start)
                    self.starts[visit.id, index].append((boolean, unit, start))
                    self._part(boolean, visit, part, unit, start)
                    if index == 0:
                        self._cost(boolean, visit, unit, start)
        missed = model.boolean(visit.id)
        if "placed" in model.costs:
            model.costs["placed"][missed] = visit.priority
        for aim, costs in model.costs.items():
            mine = [missed, *(boolean for boolean, _, _ in self.starts[visit.id, 0])]
            model.worst[aim] += max(costs.get(boolean, 0) for boolean in mine)
        for index in range(len(visit.parts)):
            once = [(boolean, 1) for boolean, _, _ in self.starts[visit.id, index]]
            model.row([*once, (missed, 1)], least=1, most=1)
        if visit.fixed is not None:
            model.row([(missed, 1)], most=0)
        for index in range(1, len(visit.parts)):
            self._follows(visit, index, missed)
        if sum(other.patient == visit.patient for other in day.visits) > 1:
            for index, part in enumerate(visit.parts):
                for boolean, _, start in self.starts[visit.id, index]:
                    self._use(("patient", visit.patient), boolean, Interval(start, start + part.minutes))

    def _units(self, visit: Visit, index: int) -> Iterator[Unit]:
        part, fixed = visit.parts[index], visit.fixed_part(index)
        for unit in self.day.units:
            tagged = any(set(visit.place_tags) <= set(self.day.place_by_id[place].tags) for place in unit.places)
            enough = all(
                sum(output in channel.drives for channel in unit.channels) >= count
                for output, count in part.channels.items()
            )
            if self.day.unit_may(part, unit) and tagged and enough and fixed.unit in (None, unit.id):
                yield unit

    def _part_starts(self, visit: Visit, index: int, unit: Unit) -> list[int]:
        """Grid starts at which the part, and the parts before and after it without a wait, lie in the visit's time."""
        day, fixed = self.day, visit.fixed_part(index)
        before = sum(part.minutes for part in visit.parts[:index])
        after = sum(part.minutes for part in visit.parts[index + 1 :])
        minutes = visit.parts[index].minutes
        step = day.step_min

        def fits(start: int) -> bool:
            span = Interval(start - before, start + minutes + after)
            here = Interval(start, start + minutes)
            return (
                any(free.covers(span) for free in day.visit_free(visit))
                and any(hours.covers(here) for hours in day.unit_hours(unit))
                and day.open_interval.covers(span)
                and fixed.start in (None, start)
            )

        first = -(-day.open // step) * step
        return [start for start in range(first, day.close, step) if fits(start)]

    def _cost(self, boolean: int, visit: Visit, unit: Unit, start: int) -> None:
        told = self.day.published_by_id.get(visit.id)
        if told is not None and told.parts and "stable" in self.model.costs:
            moved = abs(start - told.parts[0].start)
            self.model.costs["stable"][boolean] = moved + OTHER_UNIT * (unit.id != told.parts[0].unit)
        if visit.wish is not None and "wish" in self.model.costs:
            self.model.costs["wish"][boolean] = abs(start - visit.wish)

    def _follows(self, visit: Visit, index: int, missed: int) -> None:
        """The part starts when the one before has ended and no later than its longest wait; on the same unit if so."""
        before, part = visit.parts[index - 1], visit.parts[index]
        earlier, later = self.starts[visit.id, index - 1], self.starts[visit.id, index]
        gap = [(b, start) for b, _, start in later] + [(b, -start) for b, _, start in earlier]
        self.model.row([*gap, (missed, before.minutes)], least=before.minutes)
        if part.max_wait_min is not None:
            self.model.row(gap, most=before.minutes + part.max_wait_min)
        if visit.same_unit:
            for unit in self.day.units:
                here = [(b, 1) for b, at, _ in earlier if at is unit] + [(b, -1) for b, at, _ in later if at is unit]
                if here:
                    self.model.row(here, least=0, most=0)

    def _use(self, thing: tuple[str, ...], boolean: int, minutes: Interval, amount: int = 1) -> None:
        self.uses[thing].add(boolean, minutes, amount, self.day.step_min)

    def _part(self, boolean: int, visit: Visit, part: Part, unit: Unit, start: int) -> None:
        here = Interval(start, start + part.minutes)
        for outputs in _sets({output for channel in unit.channels for output in channel.drives}):
            needed = sum(part.channels.get(output, 0) for output in outputs)
            if needed:
                self._use(("channels", unit.id, *outputs), boolean, here, needed)
        self._use(("patients", unit.id), boolean, here)
        self._use(("bays",), boolean, Interval(here.start, here.end + self.day.bay_turnover_min))
        for pool, count in part.applicators.items():
            turnaround = self.day.applicator_by_id[pool].turnaround_min
            self._use(("items", pool), boolean, Interval(here.start, here.end + turnaround), count)
        skills = {other.skill for other in visit.parts if other.needs_therapist} - {None}
        for phase, minutes in part.phases_at(start):
            if phase.hands != "nobody":
                self._use(("hands",), boolean, minutes)
                self._use(("watch",), boolean, minutes, self._lost_by_hands())
            if phase.hands == "therapist":
                self._use(("therapists",), boolean, minutes)
                for skill in skills:
                    self._use(("skilled", str(skill)), boolean, minutes)
            if phase.unattended:
                self._use(("watch",), boolean, minutes)

    def _lost_by_hands(self) -> int:
        return min((member.watch_free - member.watch_busy for member in self.day.staff), default=0)

    def _groups(self) -> dict[tuple[str, ...], list[StaffMember]]:
        """For each row of hands, who may do it."""
        therapists = [member for member in self.day.staff if member.kind == "therapist"]
        skills = {skill for member in therapists for skill in member.skills}
        groups: dict[tuple[str, ...], list[StaffMember]] = {("hands",): list(self.day.staff)}
        groups["therapists",] = therapists
        for skill in skills:
            groups["skilled", skill] = [member for member in therapists if skill in member.skills]
        return groups

    def _breaks(self) -> None:
        """One boolean for each break and start; a break takes a pair of hands and a watch away."""
        day, groups = self.day, self._groups()
        for member in day.staff:
            for number, rest in enumerate(member.breaks):
                window = Interval(max(day.open, rest.between.start), min(day.close, rest.between.end))
                first = -(-window.start // day.step_min) * day.step_min
                taken = []
                for start in range(first, window.end - rest.minutes + 1, day.step_min):
                    boolean = self.model.boolean(member.id, number, start)
                    taken.append((boolean, 1))
                    for minute in range(start, start + rest.minutes, day.step_min):
                        if any(hours.start <= minute < hours.end for hours in member.hours):
                            for thing in (thing for thing, able in groups.items() if member in able):
                                self._use(thing, boolean, Interval(minute, minute + 1))
                            self._use(("watch",), boolean, Interval(minute, minute + 1), member.watch_free)
                self.model.row(taken, least=1, most=1)

    def _limits(self) -> None:
        groups = self._groups()
        for thing, use in self.uses.items():
            for minute, terms in use.at.items():
                most = self._most(thing, minute, groups)
                if sum(amount for _, amount in terms) > most:
                    self.model.row(terms, most=most)

    def _most(self, thing: tuple[str, ...], minute: int, groups: Mapping[tuple[str, ...], list[StaffMember]]) -> int:
        def there(members: Sequence[StaffMember]) -> list[StaffMember]:
            return [m for m in members if any(hours.start <= minute < hours.end for hours in m.hours)]

        match thing:
            case ("channels", unit, *outputs):
                return sum(bool(set(outputs) & set(c.drives)) for c in self.day.unit_by_id[unit].channels)
            case ("patients", unit):
                return self.day.unit_by_id[unit].patients_at_once
            case ("bays",):
                return sum(len(place.bays) for place in self.day.places)
            case ("items", pool):
                return len(self.day.applicator_by_id[pool].items)
            case ("patient", _):
                return 1
            case ("watch",):
                return sum(member.watch_free for member in there(self.day.staff))
        return len(there(groups.get(thing, [])))


def _sets(outputs: set[str]) -> Iterator[tuple[str, ...]]:
    """Every set of outputs but the empty one: together they may take no more channels than drive any of them."""
    ordered = sorted(outputs)
    for size in range(1, len(ordered) + 1):
        yield from combinations(ordered, size)
