"""First fit in order of wish: what a careful person with a wall chart does. The verifier judges each step.

Fixed visits come first, then breaks, then the others by their wish, those without one last. Each gets the first start,
outward from its wish, at which something of each kind is free: a unit, a place, a bay, channels, items, hands. What the
wall chart does not show (watch, batteries, suction, moves) the verifier refuses, and then the next is tried. Nothing
that is placed ever moves again.
"""

import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from solver.clinic import Place, StaffMember, Unit
from solver.clock import Interval
from solver.compose import plan_of
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedPart, PlacedVisit, Plan
from solver.verify import RULES
from solver.verify.scores import scores_of
from solver.visits import Part, Visit
from tests.bench.cases import Case
from tests.bench.outcome import Outcome

MOST_REFUSALS = 100
"""So many candidates of one visit the verifier may refuse before it is left out."""


def run_first_fit(case: Case) -> Outcome:
    """All aims are scored; nothing is proved."""
    day = case.day()
    began = time.monotonic()
    plan, late = first_fit(day, case.seconds)
    seconds = time.monotonic() - began
    if plan is None:
        return Outcome(note="found no room for what is fixed and for the breaks")
    note = f"{late} visits not reached in time" if late else ""
    return Outcome(scores=scores_of(day, plan), first=seconds, best=seconds, note=note)


def first_fit(day: Day, seconds: float) -> tuple[Plan | None, int]:
    """The plan, and how many visits were left out because time was up; None where what must stand finds no room."""
    began = time.monotonic()
    chart = _Chart(day)
    fixed = sorted((v for v in day.visits if v.fixed is not None), key=lambda visit: visit.fixed_part(0).start or 0)
    if not (chart.take_breaks(movable=False) and all(map(chart.add, fixed)) and chart.take_breaks(movable=True)):
        return None, 0
    late = 0
    rest = (visit for visit in day.visits if visit.fixed is None)
    for visit in sorted(rest, key=lambda visit: (visit.wish is None, visit.wish or 0)):
        if time.monotonic() - began > seconds:
            late += 1
        else:
            chart.add(visit)
    return chart.plan(), late


@dataclass(slots=True)
class _Chart:
    """Who and what is taken when; ``taken`` by a name for each thing."""

    day: Day
    taken: dict[tuple[str, ...], list[Interval]] = field(default_factory=dict)
    visits: dict[str, PlacedVisit] = field(default_factory=dict)
    breaks: dict[tuple[str, int], PlacedBreak] = field(default_factory=dict)

    def plan(self) -> Plan:
        return plan_of(self.day, self.visits, self.breaks)

    def free(self, minutes: Interval, *thing: str) -> bool:
        return not any(minutes.meets(other) for other in self.taken.get(thing, ()))

    def take(self, minutes: Interval, *thing: str) -> None:
        self.taken.setdefault(thing, []).append(minutes)

    def take_breaks(self, *, movable: bool) -> bool:
        """Each break that may move, or each that may not, where it may begin soonest; False where one finds no room."""
        for member in self.day.staff:
            for number, rest in enumerate(member.breaks):
                if (rest.between.minutes > rest.minutes) != movable:
                    continue
                span = Interval(max(rest.between.start, self.day.open), min(rest.between.end, self.day.close))
                starts = _grid(self.day, span.start, span.end - rest.minutes)
                spans = (Interval(start, start + rest.minutes) for start in starts)
                first = next((here for here in spans if self.free(here, "hands", member.id)), None)
                if first is None:
                    return False
                self.take(first, "hands", member.id)
                self.breaks[member.id, number] = PlacedBreak(staff=member.id, start=first.start, end=first.end)
        return True

    def add(self, visit: Visit) -> bool:
        for tries, placed in enumerate(self._candidates(visit)):
            if tries == MOST_REFUSALS:
                return False
            if self._right(placed):
                self._enter(visit, placed)
                return True
        return False

    def _right(self, placed: PlacedVisit) -> bool:
        """As the verifier says, of a day with the visits and breaks placed so far alone."""
        visits = {**self.visits, placed.id: placed}
        day = replace(
            self.day,
            visits=tuple(visit for visit in self.day.visits if visit.id in visits),
            staff=tuple(
                replace(m, breaks=tuple(rest for n, rest in enumerate(m.breaks) if (m.id, n) in self.breaks))
                for m in self.day.staff
            ),
        )
        plan = plan_of(day, visits, self.breaks)
        return not any(True for rule in RULES for _ in rule.check(day, plan))

    def _enter(self, visit: Visit, placed: PlacedVisit) -> None:
        self.visits[visit.id] = placed
        for part, where in zip(visit.parts, placed.parts, strict=True):
            here = Interval(where.start, where.start + part.minutes)
            for ids in where.channels.values():
                for id in ids:
                    self.take(here, "channel", where.unit, id)
            for pool, ids in where.items.items():
                for id in ids:
                    self.take(Interval(here.start, here.end + self._turnaround(pool)), "item", id)
            for (_, minutes), who in zip(part.phases_at(where.start), where.hands, strict=True):
                if who is not None:
                    self.take(minutes, "hands", who)
            self.take(Interval(here.start, here.end + self.day.bay_turnover_min), "bay", where.bay)

    def _turnaround(self, pool: str) -> int:
        return self.day.applicator_by_id[pool].turnaround_min

    def _candidates(self, visit: Visit) -> Iterator[PlacedVisit]:
        told = self.day.published_by_id.get(visit.id)
        if visit.fixed is not None and told is not None:
            yield told  # it has begun as it was told
        minutes = sum(part.minutes for part in visit.parts)
        wish = visit.wish if visit.wish is not None else self.day.open
        fixed = visit.fixed_part(0)
        starts = _grid(self.day, self.day.open, self.day.close - minutes)
        for start in sorted(starts, key=lambda start: abs(start - wish)):
            free = any(span.covers(Interval(start, start + minutes)) for span in self.day.visit_free(visit))
            if free and fixed.start in (None, start):
                yield from self._at(visit, start)

    def _at(self, visit: Visit, start: int) -> Iterator[PlacedVisit]:
        """One candidate for each unit and place, with the first bay and therapist that are free.

        Parts follow at the next grid minute, all on one unit.
        """
        for unit, place in self._sites(visit):
            found = (
                self._placed(visit, start, (unit, place, bay), therapist)
                for therapist in self._therapists(visit)
                for bay in place.bays
                if visit.fixed_part(0).bay in (None, bay)
            )
            placed = next((placed for placed in found if placed is not None), None)
            if placed is not None:
                yield placed

    def _placed(
        self, visit: Visit, start: int, site: tuple[Unit, Place, str], therapist: StaffMember | None
    ) -> PlacedVisit | None:
        parts: list[PlacedPart] = []
        for index, part in enumerate(visit.parts):
            placed = self._part(visit, index, part, start, site, therapist)
            if placed is None:
                return None
            parts.append(placed)
            start = _up(self.day, start + part.minutes)
        return PlacedVisit(id=visit.id, therapist=therapist.id if therapist else None, parts=tuple(parts))

    def _therapists(self, visit: Visit) -> list[StaffMember | None]:
        if not visit.needs_therapist:
            return [None]
        fixed = visit.fixed.therapist if visit.fixed is not None else None
        must = fixed or visit.therapist_must
        able = (m for m in self.day.staff if m.kind == "therapist" and must in (None, m.id))
        return [*sorted(able, key=lambda member: member.id != visit.therapist_wish)]

    def _sites(self, visit: Visit) -> Iterator[tuple[Unit, Place]]:
        fixed = visit.fixed_part(0)
        for unit in self.day.units:
            if all(self.day.unit_may(part, unit) for part in visit.parts) and fixed.unit in (None, unit.id):
                for place in (self.day.place_by_id[id] for id in unit.places):
                    if set(visit.place_tags) <= set(place.tags) and fixed.place in (None, place.id):
                        yield unit, place

    def _part(
        self,
        visit: Visit,
        index: int,
        part: Part,
        start: int,
        site: tuple[Unit, Place, str],
        therapist: StaffMember | None,
    ) -> PlacedPart | None:
        unit, place, bay = site
        here = Interval(start, start + part.minutes)
        fixed = visit.fixed_part(index)
        channels = fixed.channels or self._channels(part, unit, here)
        items = fixed.items or self._items(part, here)
        hands = self._hands(part, start, therapist)
        held = Interval(here.start, here.end + self.day.bay_turnover_min)
        if channels is None or items is None or hands is None or not self.free(held, "bay", bay):
            return None
        return PlacedPart(
            id=part.id,
            start=start,
            unit=unit.id,
            place=place.id,
            bay=bay,
            channels=channels,
            items=items,
            hands=hands,
        )

    def _channels(self, part: Part, unit: Unit, here: Interval) -> Mapping[str, tuple[str, ...]] | None:
        free = [channel for channel in unit.channels if self.free(here, "channel", unit.id, channel.id)]
        named: dict[str, tuple[str, ...]] = {}
        for output, count in part.channels.items():
            able = [channel for channel in free if output in channel.drives][:count]
            if len(able) < count:
                return None
            free = [channel for channel in free if channel not in able]
            named[output] = tuple(channel.id for channel in able)
        return named

    def _items(self, part: Part, here: Interval) -> Mapping[str, tuple[str, ...]] | None:
        named: dict[str, tuple[str, ...]] = {}
        for pool, count in part.applicators.items():
            held = Interval(here.start, here.end + self._turnaround(pool))
            able = [id for id in self.day.applicator_by_id[pool].items if self.free(held, "item", id)][:count]
            if len(able) < count:
                return None
            named[pool] = tuple(able)
        return named

    def _hands(self, part: Part, start: int, therapist: StaffMember | None) -> tuple[str | None, ...] | None:
        hands: list[str | None] = []
        for phase, minutes in part.phases_at(start):
            if phase.hands == "nobody":
                hands.append(None)
                continue
            # Assistants first: therapists are needed for what only they can do.
            able: list[StaffMember | None] = [*sorted(self.day.staff, key=lambda member: member.kind)]
            if phase.hands == "therapist":
                able = [therapist]
            who = next((member.id for member in able if member is not None and self._there(member, minutes)), None)
            if who is None:
                return None
            hands.append(who)
        return tuple(hands)

    def _there(self, member: StaffMember, minutes: Interval) -> bool:
        return any(hours.covers(minutes) for hours in member.hours) and self.free(minutes, "hands", member.id)


def _up(day: Day, minute: int) -> int:
    return -(-minute // day.step_min) * day.step_min


def _grid(day: Day, first: int, last: int) -> range:
    return range(_up(day, first), last + 1, day.step_min)
