"""The day as it runs: what was started is fixed where it is, with its true minutes; the rest is still to come.

**On the day's own grid.** A part that began between two grid minutes begins at the later one here and its first phases
are that much shorter, so that its end and all that comes after the next grid minute is exact.

**Whose hands did what is over** binds nobody any more: a phase that is over needs anybody's, and has those it had. So
what is left of a visit can be another therapist's.

**What happened need not have kept the rules.** Visits that are over are left out of the live day, one by one, until
those that were started break none (``unsaid``). What then is still broken is so now, and somebody must decide
(``broken``).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from solver.clinic import Applicator, Break, StaffMember, Unit
from solver.clock import Interval
from solver.compose import plan_of
from solver.late.happened import Happened, Ran
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedPart, PlacedVisit, Plan
from solver.verify import Breach, verify
from solver.visits import Fixed, FixedPart, Part, Phase, Visit

AS_IT_MAY = frozenset({"scores", "status"})
"""What the verifier says of a plan's own figures, which nobody has proved anything of here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveDay:
    """``started``: the placed visits of which some part was started, with the minutes as they are in ``day``.

    ``waiting``: the visits that are still to come, by their planned starts; ``planned``: where the plan has them.
    ``late``: visits that can no longer keep their patient's own times, such as a longest wait; that was relaxed.
    """

    day: Day
    now: int
    started: Mapping[str, PlacedVisit]
    waiting: tuple[str, ...]
    planned: Mapping[str, PlacedVisit]
    unsaid: tuple[str, ...]
    broken: tuple[Breach, ...]
    late: tuple[str, ...]


def live_day(day: Day, plan: Plan, happened: Happened) -> LiveDay:
    """The day as it runs at ``happened.now``. Visits that the plan leaves out are not of it."""
    soon = _up(day, happened.now)
    started: dict[str, tuple[Visit, PlacedVisit]] = {}
    waiting: list[Visit] = []
    late: list[str] = []
    for placed in sorted(plan.visits, key=lambda one: one.parts[0].start):
        visit, ran = day.visit_by_id[placed.id], happened.parts_of(placed.id)
        if ran:
            started[placed.id], waited = _started(day, visit, placed, ran, happened, soon)
            late += [placed.id] if waited else []
        elif placed.id not in happened.over:
            waiting.append(_waiting(day, visit, max(soon, _up(day, happened.not_before.get(placed.id, 0)))))
    live = replace(
        day,
        units=tuple(_unit(day, unit, happened) for unit in day.units),
        staff=tuple(_member(member, plan, happened) for member in day.staff),
        applicators=tuple(_pool(pool, happened, started) for pool in day.applicators),
        visits=tuple(visit for visit, _ in started.values()),
        published=(),
    )
    begun = [one for one in plan.breaks if one.start < happened.now]
    unsaid, broken = _left_out_until_right(live, started, begun, happened)
    live = replace(live, visits=(*(visit for visit, _ in started.values()), *waiting))
    return LiveDay(
        day=live,
        now=happened.now,
        started={id: placed for id, (_, placed) in started.items()},
        waiting=tuple(visit.id for visit in waiting),
        planned={placed.id: placed for placed in plan.visits},
        unsaid=tuple(unsaid),
        broken=tuple(broken),
        late=tuple(late),
    )


def _up(day: Day, minute: int) -> int:
    return -(-minute // day.step_min) * day.step_min


def _started(
    day: Day, visit: Visit, placed: PlacedVisit, ran: list[Ran], happened: Happened, soon: int
) -> tuple[tuple[Visit, PlacedVisit], bool]:
    """The visit and where it is, as it runs; and whether a patient has waited longer for a part than they should."""
    parts: list[Part] = []
    where: list[PlacedPart] = []
    over = visit.id in happened.over
    for number, one in enumerate(ran):
        part, there = _as_it_ran(day, visit.parts[number], placed.parts[number], one)
        if over:
            part, there = _but_items(part, there, happened.clean | happened.aside)
        parts.append(part)
        where.append(there)
    waited = False
    if not over and len(ran) < len(visit.parts):
        ahead = visit.parts[len(ran)]
        gone = max(0, soon - ran[-1].end) if ran[-1].over else 0
        waited = ahead.max_wait_min is not None and gone > ahead.max_wait_min
        parts[-1], where[-1] = held_until(parts[-1], where[-1], soon if ran[-1].over else 0)
        parts += [waited_for(ahead, gone), *visit.parts[len(ran) + 1 :]]
    fixed = Fixed(
        therapist=_therapist(parts, placed, ran),
        therapist_given=True,
        parts=tuple(
            FixedPart(
                start=one.start, unit=one.unit, place=one.place, bay=one.bay, channels=one.channels, items=one.items
            )
            for one in where
        ),
    )
    lived = replace(visit, parts=tuple(parts), fixed=fixed, free=None, therapist_must=None)
    return (lived, replace(placed, therapist=fixed.therapist, parts=tuple(where))), waited


def _as_it_ran(day: Day, part: Part, there: PlacedPart, ran: Ran) -> tuple[Part, PlacedPart]:
    """The part with the minutes it took and is expected to take, beginning on the grid."""
    start = _up(day, ran.start)
    spare = min(start - ran.start, sum(ran.phases) - 1)
    phases: list[Phase] = []
    hands: list[str | None] = []
    for number, minutes in enumerate(ran.phases):
        cut = min(spare, minutes)
        spare -= cut
        if minutes == cut:
            continue
        phase, who = part.phases[number], ran.hands.get(number, there.hands[number])
        past = ran.over or number < ran.phase
        phases.append(
            replace(phase, minutes=minutes - cut, hands="anyone" if past and who is not None else phase.hands)
        )
        hands.append(who)
    return replace(part, phases=tuple(phases)), replace(there, start=start, hands=tuple(hands))


def _therapist(parts: list[Part], placed: PlacedVisit, ran: list[Ran]) -> str | None:
    """Whose the rest of the visit is: whoever took over last, else the planned one; nobody's where it needs none."""
    if not any(part.needs_therapist for part in parts):
        return None
    taken = [who for one in ran for _, who in sorted(one.hands.items())]
    return taken[-1] if taken else placed.therapist


def _but_items(part: Part, there: PlacedPart, free: frozenset[str]) -> tuple[Part, PlacedPart]:
    """A part that is over without the items that nobody has to wait for: clean again, or out of use anyway."""
    items = {pool: tuple(item for item in names if item not in free) for pool, names in there.items.items()}
    items = {pool: names for pool, names in items.items() if names}
    return replace(part, applicators={pool: len(names) for pool, names in items.items()}), replace(there, items=items)


def held_until(part: Part, there: PlacedPart, minute: int) -> tuple[Part, PlacedPart]:
    """The part lengthened by a rest until the minute, so that none after it begins before; as it is if it ends later.

    What is in the past, or is the patient's own waiting, is nobody else's in any case.
    """
    rest = minute - there.start - part.minutes
    if rest <= 0:
        return part, there
    longer = replace(part, phases=(*part.phases, Phase(minutes=rest, hands="nobody", running=False)))
    return longer, replace(there, hands=(*there.hands, None))


def waited_for(part: Part, minutes: int) -> Part:
    """The part that its patient has waited so long for already; without a longest wait where that is over."""
    if part.max_wait_min is None or minutes == 0:
        return part
    left = part.max_wait_min - minutes
    return replace(part, max_wait_min=left if left >= 0 else None)


def _waiting(day: Day, visit: Visit, soonest: int) -> Visit:
    """The visit with its patient's times from the soonest minute on. Of what was fixed, units and therapist hold."""
    free = tuple(
        Interval(max(soonest, start), end) for start, end in day.visit_free(visit) if end > max(soonest, start)
    )
    if visit.fixed is None:
        return replace(visit, free=free)
    must = visit.fixed.therapist if visit.needs_therapist else None
    parts = (
        part if fixed.unit is None else replace(part, units=(fixed.unit,))
        for part, fixed in ((part, visit.fixed_part(i)) for i, part in enumerate(visit.parts))
    )
    return replace(visit, free=free, fixed=None, parts=tuple(parts), therapist_must=must or visit.therapist_must)


def _unit(day: Day, unit: Unit, happened: Happened) -> Unit:
    gone = happened.gone.get(unit.id)
    return unit if gone is None else replace(unit, hours=tuple(_but(day.unit_hours(unit), gone)))


def _member(member: StaffMember, plan: Plan, happened: Happened) -> StaffMember:
    """The member in the hours in which they are there, with breaks that were begun where they were."""
    away = happened.away.get(member.id)
    hours = member.hours if away is None else tuple(_but(member.hours, away))
    planned = [one for one in plan.breaks if one.staff == member.id]
    breaks = tuple(_due(due, taken, happened.now) for due, taken in zip(member.breaks, planned, strict=True))
    return replace(member, hours=hours, breaks=breaks)


def _due(due: Break, planned: PlacedBreak, now: int) -> Break:
    if planned.start < now:
        return replace(due, between=Interval(planned.start, planned.end))
    return replace(due, between=Interval(min(max(due.between.start, now), planned.start), due.between.end))


def _but(hours: Iterable[Interval], out: Interval) -> Iterable[Interval]:
    """The hours without that interval."""
    for start, end in hours:
        if start < min(end, out.start):
            yield Interval(start, min(end, out.start))
        if max(start, out.end) < end:
            yield Interval(max(start, out.end), end)


def _pool(pool: Applicator, happened: Happened, started: Mapping[str, tuple[Visit, PlacedVisit]]) -> Applicator:
    """The pool without what was set aside, but for what is still held."""
    running = (placed for id, (_, placed) in started.items() if id not in happened.over)
    held = {item for placed in running for part in placed.parts for item in part.items.get(pool.id, ())}
    return replace(pool, items=tuple(item for item in pool.items if item not in happened.aside or item in held))


def _left_out_until_right(
    live: Day, started: dict[str, tuple[Visit, PlacedVisit]], begun: list[PlacedBreak], happened: Happened
) -> tuple[list[str], list[Breach]]:
    """Take visits that are over from ``started``, the oldest first, until the rest breaks no more than what still runs
    breaks by itself."""
    unsaid: list[str] = []
    broken = _breaches(live, started, begun, happened.now)
    if not broken:
        return unsaid, broken
    past = [id for id in started if id in happened.over]
    running = {id: pair for id, pair in started.items() if id not in happened.over}
    least = len(_breaches(live, running, begun, happened.now))
    while len(broken) > least and past:
        fewer = {id: pair for id, pair in started.items() if id != past[0]}
        left = _breaches(live, fewer, begun, happened.now)
        if len(left) < len(broken):
            unsaid.append(past[0])
            del started[past[0]]
            broken = left
        past.pop(0)
    return unsaid, broken


def _breaches(
    live: Day, started: Mapping[str, tuple[Visit, PlacedVisit]], begun: list[PlacedBreak], now: int
) -> list[Breach]:
    """What the started parts and the breaks that were begun break among themselves. Not looked at: parts still to come,
    and hands of anybody's for phases still to come, which can be other hands."""
    judged = [_judged(visit, placed, now) for visit, placed in started.values()]
    visits = tuple(visit for visit, _ in judged)
    taken = [(one.staff, Interval(one.start, one.end)) for one in begun]
    staff = (
        replace(one, breaks=tuple(due for due in one.breaks if (one.id, due.between) in taken)) for one in live.staff
    )
    day = replace(live, visits=visits, staff=tuple(staff))
    breaks = {(one.staff, number): one for number, one in enumerate(begun)}
    plan = plan_of(day, {placed.id: placed for _, placed in judged}, breaks)
    return [one for one in verify(day, plan) if one.rule not in AS_IT_MAY]


def _judged(visit: Visit, placed: PlacedVisit, now: int) -> tuple[Visit, PlacedVisit]:
    pairs = [_certain(part, there, now) for part, there in zip(visit.parts, placed.parts, strict=False)]
    visit = replace(visit, parts=tuple(part for part, _ in pairs), fixed=None)
    therapist = placed.therapist if visit.needs_therapist else None
    return visit, replace(placed, therapist=therapist, parts=tuple(there for _, there in pairs))


def _certain(part: Part, there: PlacedPart, now: int) -> tuple[Part, PlacedPart]:
    """The part with nobody's hands on phases that anybody could do and that were not begun."""
    open_still = [phase.hands == "anyone" and start >= now for phase, (start, _) in part.phases_at(there.start)]
    phases = (
        replace(phase, hands="nobody", running=False) if open_ else phase
        for phase, open_ in zip(part.phases, open_still, strict=True)
    )
    hands = (None if open_ else who for who, open_ in zip(there.hands, open_still, strict=True))
    return replace(part, phases=tuple(phases)), replace(there, hands=tuple(hands))
