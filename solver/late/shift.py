"""The plain right-shift: everybody stays in their order and place, and begins as soon after their time as they can."""

from collections.abc import Mapping
from dataclasses import replace

from solver.clock import Interval
from solver.compose import plan_of
from solver.late.live import LiveDay, held_until, waited_for
from solver.late.moved import Left, Outcome, outcome_of
from solver.masks.bits import minutes_of, span
from solver.masks.exactly import fits_exactly
from solver.masks.ledger import Ledger
from solver.masks.offers import best_offer
from solver.masks.pauses import break_starts
from solver.reasons import left_out
from solver.schedule import PlacedBreak, PlacedPart, PlacedVisit, Plan, Reason
from solver.visits import Fixed, FixedPart, Part, Visit

_BEGUN = "\0"
"""Begins the id of a stand-in; no file can name one so."""


def shifted(live: LiveDay, plan: Plan) -> Outcome:
    """The live day with each visit that is still to come at the first minute from its planned one on at which it can
    be: on the same unit, in the same bay, with the same therapist; where that cannot be, wherever it can.

    Visits are placed in the order of their planned starts, after what runs and the breaks, which stay where they are
    as long as they can; one that was planned for later may come first where who was to be first is not there yet.
    ``plan``: the one that runs late. Whoever ran before keeps what they hold.
    """
    if live.broken:
        return Outcome(plan=None, broken=live.broken)
    return _Shift(live, plan).run()


class _Shift:
    """What is placed so far. Visits that run have a stand-in of their started parts until their rest is placed."""

    def __init__(self, live: LiveDay, plan: Plan) -> None:
        self.live = live
        self.plan = plan
        self.by_id = live.day.visit_by_id
        self.running = [id for id, placed in live.started.items() if self._is_running(placed)]
        begun = (_begun(self.by_id[id], live.started[id]) for id in self.running)
        aims = replace(live.day, aims=("wish", "wait"), visits=(*live.day.visits, *begun))
        self.ledger = Ledger(aims)

    def _is_running(self, placed: PlacedVisit) -> bool:
        """Whether something of the visit is still to come, so that hands for it may have to be found."""
        visit, last = self.by_id[placed.id], placed.parts[-1]
        part = visit.parts[len(placed.parts) - 1]
        return len(placed.parts) < len(visit.parts) or last.start + part.minutes > self.live.now

    def run(self) -> Outcome:
        live, ledger = self.live, self.ledger
        for id, placed in live.started.items():
            ledger.add(self._stand_in(placed) if id in self.running else placed)
        stuck = self._take_breaks()
        for id in sorted(self.running, key=self._next_planned):
            placed = live.started[id]
            ledger.remove(_BEGUN + id)
            whole = self._rest_of(self.by_id[id], placed)
            if whole is None:
                stuck.append(self._why(self.by_id[id]))
            ledger.add(whole or self._stand_in(placed))
        if stuck:
            return Outcome(plan=None, left=tuple(stuck))
        for id in sorted(live.waiting, key=lambda id: (live.planned[id].parts[0].start, id)):
            found = self._soonest(self.by_id[id])
            if found is not None:
                ledger.add(found)
        return outcome_of(live, plan_of(live.day, ledger.visits, ledger.breaks))

    def _why(self, visit: Visit) -> Left:
        """A visit that runs and whose rest has no place, with the rules that keep it out."""
        plan = plan_of(self.ledger.day, self.ledger.visits, self.ledger.breaks)
        return Left(id=visit.id, reasons=left_out(self.ledger, plan, visit).reasons)

    def _next_planned(self, id: str) -> tuple[int, str]:
        planned, count = self.live.planned[id].parts, len(self.live.started[id].parts)
        return planned[min(count, len(planned) - 1)].start, id

    def _stand_in(self, placed: PlacedVisit) -> PlacedVisit:
        """The started parts with the hands that are on them, or were; those for later are still to be found."""
        visit = self.by_id[placed.id]
        parts = tuple(
            self._with_hands(part, where, (None,) * len(where.hands))
            for part, where in zip(visit.parts, placed.parts, strict=False)
        )
        return replace(placed, id=_BEGUN + placed.id, parts=parts)

    def _with_hands(self, part: Part, where: PlacedPart, later: tuple[str | None, ...]) -> PlacedPart:
        """The part with other hands for phases of anybody’s that are still to come."""
        hands = tuple(
            other if phase.hands == "anyone" and start >= self.live.now else who
            for (phase, (start, _)), who, other in zip(part.phases_at(where.start), where.hands, later, strict=True)
        )
        return replace(where, hands=hands)

    def _take_breaks(self) -> list[Left]:
        """Each break as planned where it was begun or can still be, else as near to that as it can; those that cannot
        be."""
        numbers: dict[str, int] = {}
        none_left: list[Left] = []
        for planned in self.plan.breaks:
            number = numbers[planned.staff] = numbers.get(planned.staff, -1) + 1
            taken = planned if planned.start < self.live.now else self._near(planned, number)
            if taken is not None:
                self.ledger.add_break(number, taken)
            else:
                text = f"no time is left for the break of {self.live.day.staff_by_id[planned.staff].name}"
                none_left.append(Left(id=planned.staff, reasons=(Reason(rule="break", text=text),)))
        return none_left

    def _near(self, planned: PlacedBreak, number: int) -> PlacedBreak | None:
        member = self.live.day.staff_by_id[planned.staff]
        starts = break_starts(self.ledger, member, member.breaks[number]) & ~span(0, self.live.now)
        found = min(minutes_of(starts), key=lambda start: abs(start - planned.start), default=None)
        if found is None:
            return None
        return PlacedBreak(staff=planned.staff, start=found, end=found + planned.end - planned.start)

    def _rest_of(self, visit: Visit, started: PlacedVisit) -> PlacedVisit | None:
        """The visit with its further parts, as planned or the next of them not before its planned time."""
        count = len(started.parts)
        planned = self.live.planned[visit.id]
        as_planned = replace(planned, therapist=started.therapist, parts=(*started.parts, *planned.parts[count:]))
        if _follows(visit, as_planned) and fits_exactly(self.ledger, visit, as_planned):
            return as_planned
        held = visit
        if count < len(visit.parts):
            part, _ = held_until(visit.parts[count - 1], started.parts[-1], planned.parts[count].start)
            ahead = waited_for(visit.parts[count], part.minutes - visit.parts[count - 1].minutes)
            held = replace(visit, parts=(*visit.parts[: count - 1], part, ahead, *visit.parts[count + 1 :]))
        found = best_offer(self.ledger, held)
        if found is None:
            return None
        parts = (
            self._with_hands(visit.parts[i], where, found.parts[i].hands[: len(where.hands)])
            for i, where in enumerate(started.parts)
        )
        return replace(found, parts=(*parts, *found.parts[count:]))

    def _soonest(self, visit: Visit) -> PlacedVisit | None:
        planned = self.live.planned[visit.id]
        if fits_exactly(self.ledger, visit, planned):
            return planned
        first = planned.parts[0].start
        free = tuple(
            Interval(max(first, start), end)
            for start, end in self.live.day.visit_free(visit)
            if end > max(first, start)
        )
        later = replace(visit, free=free, wish=first, therapist_wish=None)
        kept = Fixed(
            therapist=planned.therapist,
            therapist_given=True,
            parts=tuple(
                FixedPart(unit=one.unit, place=one.place, bay=one.bay, channels=one.channels, items=self._items(one))
                for one in planned.parts
            ),
        )
        return best_offer(self.ledger, replace(later, fixed=kept)) or best_offer(self.ledger, later)

    def _items(self, planned: PlacedPart) -> Mapping[str, tuple[str, ...]] | None:
        """The planned items; None, which is any, where one of them is not to be had any more."""
        there = all(item in self.ledger.items for items in planned.items.values() for item in items)
        return planned.items if there else None


def _follows(visit: Visit, placed: PlacedVisit) -> bool:
    """Whether each part begins when the one ahead of it is over, and not too long after."""
    ends = [where.start + part.minutes for part, where in zip(visit.parts, placed.parts, strict=True)]
    waits = [where.start - end for where, end in zip(placed.parts[1:], ends, strict=False)]
    return all(
        wait >= 0 and (part.max_wait_min is None or wait <= part.max_wait_min)
        for part, wait in zip(visit.parts[1:], waits, strict=True)
    )


def _begun(visit: Visit, placed: PlacedVisit) -> Visit:
    """A stand-in for a visit of which some parts were started: it holds what those hold."""
    return replace(visit, id=_BEGUN + visit.id, parts=visit.parts[: len(placed.parts)])
