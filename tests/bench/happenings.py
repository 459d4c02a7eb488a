"""What may happen on a day, by chance: for trying out what a delay does."""

import random
from dataclasses import replace

from solver.clock import Interval
from solver.late import Happened, Ran
from solver.problem import Day
from solver.schedule import Plan


def on_time(day: Day, plan: Plan, now: int) -> Happened:
    """The plan kept to the minute until now."""
    ran: dict[tuple[str, int], Ran] = {}
    over: set[str] = set()
    for one in plan.visits:
        visit = day.visit_by_id[one.id]
        for number, (part, where) in enumerate(zip(visit.parts, one.parts, strict=True)):
            if where.start >= now:
                continue
            begun = [start for _, (start, _) in part.phases_at(where.start) if start <= now]
            done = where.start + part.minutes <= now
            minutes = tuple(phase.minutes for phase in part.phases)
            ran[one.id, number] = Ran(start=where.start, phases=minutes, phase=len(begun) - 1, over=done)
            if done and number == len(visit.parts) - 1:
                over.add(one.id)
    return Happened(now=now, ran=ran, over=frozenset(over))


def longer(happened: Happened, key: tuple[str, int], minutes: int) -> Happened:
    """The same, and the phase that the part is in takes so much longer."""
    ran = happened.ran[key]
    phases = tuple(one + (minutes if i == ran.phase else 0) for i, one in enumerate(ran.phases))
    return replace(happened, ran={**happened.ran, key: replace(ran, phases=phases)})


def chance(day: Day, plan: Plan, now: int, pick: random.Random) -> Happened:
    """Something that happens by chance: a part runs over, a patient is late, a unit fails, an item is set aside."""
    happened = on_time(day, plan, now)
    running = [key for key, ran in happened.ran.items() if not ran.over]
    waiting = [one.id for one in plan.visits if (one.id, 0) not in happened.ran]
    kind = pick.choice(("over", "late", "fails", "aside", "away", "missing"))
    if kind == "over" and running:
        return longer(happened, pick.choice(running), pick.randrange(1, 25))
    if kind == "late" and waiting:
        return replace(happened, not_before={pick.choice(waiting): now + pick.randrange(60)})
    if kind == "fails":
        return replace(happened, gone={pick.choice(day.units).id: Interval(now, min(day.close, now + 45))})
    if kind == "aside" and day.applicators:
        return replace(happened, aside=frozenset({pick.choice(pick.choice(day.applicators).items)}))
    if kind == "away":
        return replace(happened, away={pick.choice(day.staff).id: Interval(now, min(day.close, now + 40))})
    if waiting:
        return replace(happened, over=happened.over | {pick.choice(waiting)})
    return happened
