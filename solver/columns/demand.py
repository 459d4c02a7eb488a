"""What a placement asks of the clinic's resources."""

from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

from solver.clock import Interval
from solver.columns.staffing import Crew
from solver.masks.ledger import Ledger
from solver.masks.starts import Starts
from solver.masks.waits import Offsets
from solver.problem import Day
from solver.visits import Visit
from solver.watches import watches_of

Resource = tuple[Hashable, ...]
"""A kind and what tells it apart from its like: ``("pool", id)``, ``("patients", set of units)``, ``("staff",)``."""

MOST_OUTPUTS = 4
"""Up to so many outputs, every set of them is counted (Hall's condition); beyond, each alone and all together."""
MOST_SITE_SETS = 12
"""Sets of units, and of places, that are counted apart."""


class Ask(NamedTuple):
    resource: Resource
    minutes: Interval
    amount: int


class Demand:
    """What placements ask for, never more than any placement that they stand for does.

    A stay that can only be on some units asks of every counted set of units that holds them all: what must go there
    must fit there (Hall's condition again, over units and over places).
    """

    def __init__(self, day: Day, crews: Sequence[Crew]) -> None:
        self.day = day
        self.crews = crews
        self._watches = watches_of(day)
        self._outputs = _output_sets(day)
        self._sites: dict[tuple[str, tuple[int, ...]], tuple[frozenset[str], frozenset[str]]] = {}
        empty = Ledger(day)
        for visit in day.visits:
            starts = Starts(empty, visit)
            spaced = starts.shape.spaced(_at_once(visit))
            for stay in spaced.stays:
                here = [site for site in starts.shape.sites(stay.parts) if starts.of_site(stay, spaced, site)]
                units, places = ({site.unit.id for site in here}, {site.place.id for site in here})
                self._sites[visit.id, stay.parts] = (frozenset(units), frozenset(places))
        self._unit_sets = _counted_sets(units for units, _ in self._sites.values())
        self._place_sets = _counted_sets(places for _, places in self._sites.values())

    def of(self, visit: Visit, parts: tuple[int, ...], offsets: Offsets, crew: int | None) -> Iterator[Ask]:
        """What these parts of the visit ask for, at these offsets, in minutes from the first one's start."""
        begins = dict(zip(parts, offsets, strict=True))
        for stay in visit.stays:
            here = tuple(i for i in stay if i in begins)
            if here:
                yield from self._of_stay(visit, stay, here, begins)
        for i in parts:
            for phase, minutes in visit.parts[i].phases_at(begins[i]):
                if phase.unattended:
                    yield Ask(("watch",), minutes, 1)
                if phase.hands != "nobody":
                    yield from self._of_hands(phase.hands == "therapist", minutes, crew)

    def _of_stay(
        self, visit: Visit, stay: tuple[int, ...], here: tuple[int, ...], begins: Mapping[int, int]
    ) -> Iterator[Ask]:
        day, parts = self.day, visit.parts
        units, places = self._sites[visit.id, stay]
        whole = Interval(begins[here[0]], begins[here[-1]] + parts[here[-1]].minutes)
        # A bay is not made ready between two stays of one visit.
        turnover = day.bay_turnover_min if len(visit.stays) == 1 else 0
        for place_set in self._place_sets:
            if places <= place_set:
                yield Ask(("bays", place_set), Interval(whole.start, whole.end + turnover), 1)
        for unit_set in self._unit_sets:
            if not units <= unit_set:
                continue
            yield Ask(("patients", unit_set), whole, 1)
            for i in here:
                minutes = Interval(begins[i], begins[i] + parts[i].minutes)
                for outputs in self._outputs:
                    count = sum(parts[i].channels.get(output, 0) for output in outputs)
                    if count:
                        yield Ask(("channels", unit_set, outputs), minutes, count)
        for pool in dict.fromkeys(pool for i in here for pool in parts[i].applicators):
            users = [i for i in here if pool in parts[i].applicators]
            turnaround = day.applicator_by_id[pool].turnaround_min
            for i in users:
                # Items may be handed on within the stay, so only its last user is sure to leave them to be cleaned.
                end = begins[i] + parts[i].minutes + (turnaround if i == users[-1] else 0)
                yield Ask(("pool", pool), Interval(begins[i], end), parts[i].applicators[pool])

    def _of_hands(self, by_therapist: bool, minutes: Interval, crew: int | None) -> Iterator[Ask]:
        yield Ask(("staff",), minutes, 1)
        of_crew = by_therapist and crew is not None
        if of_crew:
            yield Ask(("crew", crew), minutes, 1)
        able = self.crews[crew].members if of_crew and crew is not None else self.day.staff
        lost = min((free - busy for free, busy in (self._watches[member.id] for member in able)), default=0)
        if lost:
            yield Ask(("watch",), minutes, lost)


def _at_once(visit: Visit) -> Offsets:
    """The parts one right after the other, on no grid: enough to ask where a stay could be at all."""
    offsets = [0]
    for part in visit.parts[:-1]:
        offsets.append(offsets[-1] + part.minutes)
    return tuple(offsets)


def _output_sets(day: Day) -> list[frozenset[str]]:
    """The sets of outputs whose channels are counted together."""
    outputs = sorted({output for visit in day.visits for part in visit.parts for output in part.channels})
    if len(outputs) > MOST_OUTPUTS:
        return [*(frozenset([output]) for output in outputs), frozenset(outputs)]
    return [frozenset(chosen) for n in range(1, len(outputs) + 1) for chosen in combinations(outputs, n)]


def _counted_sets(sets: Iterable[frozenset[str]]) -> list[frozenset[str]]:
    """The sets met most often, and the union of all."""
    met = Counter(one for one in sets if one)
    everything = frozenset(id for one in met for id in one)
    often = [one for one, _ in met.most_common(MOST_SITE_SETS) if one != everything]
    return [*often, everything]
