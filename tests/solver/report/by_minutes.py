"""The report's figures counted the slow way: a walk over every minute of the day, and a note of who is where in it.

Written apart from the report, for plans that the verifier finds right; it shares only the battery's trace with it.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from typing import NamedTuple

from solver.problem import Day
from solver.schedule import PlacedPart, Plan
from solver.visits import Part, Phase


class Slice(NamedTuple):
    """One part in one minute, with the phase it is in and who does that."""

    visit: str
    part: Part
    placed: PlacedPart
    phase: Phase
    who: str | None


def slices_by_minute(day: Day, plan: Plan) -> dict[int, list[Slice]]:
    found: dict[int, list[Slice]] = defaultdict(list)
    for visit in plan.visits:
        for part, placed in zip(day.visit_by_id[visit.id].parts, visit.parts, strict=True):
            minute = placed.start
            for phase, who in zip(part.phases, placed.hands, strict=True):
                for _ in range(phase.minutes):
                    found[minute].append(Slice(visit.id, part, placed, phase, who))
                    minute += 1
    return found


def held_and_running(day: Day, plan: Plan) -> dict[tuple[str, str], tuple[int, int]]:
    """(unit, channel) → minutes held, minutes running."""
    held: Counter[tuple[str, str]] = Counter()
    running: Counter[tuple[str, str]] = Counter()
    for slices in slices_by_minute(day, plan).values():
        for each in slices:
            for channel in (id for ids in each.placed.channels.values() for id in ids):
                held[each.placed.unit, channel] += 1
                running[each.placed.unit, channel] += each.phase.running
    keys = [(unit.id, channel.id) for unit in day.units for channel in unit.channels]
    return {key: (held[key], running[key]) for key in keys}


def stay_minutes(day: Day, plan: Plan) -> Iterator[tuple[int, str, str]]:
    """(minute, unit, bay) for every minute of every stay, waits inside a stay included."""
    for visit in plan.visits:
        parts = list(zip(day.visit_by_id[visit.id].parts, visit.parts, strict=True))
        together = day.visit_by_id[visit.id].same_unit
        for group in [parts] if together else [[each] for each in parts]:
            last, put = group[-1]
            for minute in range(group[0][1].start, put.start + last.minutes):
                yield minute, put.unit, put.bay


def patients_by_minute(day: Day, plan: Plan, unit: str | None = None) -> list[int]:
    """Stays in each minute from open to close, on one unit or on all."""
    at_once = Counter(minute for minute, on, _ in stay_minutes(day, plan) if unit in (None, on))
    return [at_once[minute] for minute in range(day.open, day.close)]


def free_watch_by_minute(day: Day, plan: Plan) -> list[int]:
    """Watch to spare, in the minutes with an unattended running part only."""
    spare = []
    for minute, slices in slices_by_minute(day, plan).items():
        unwatched = sum(each.phase.running and each.phase.hands == "nobody" for each in slices)
        if not unwatched:
            continue
        watch = 0
        for member in day.staff:
            if minute in on_duty(day, plan, member.id):
                busy = any(each.who == member.id for each in slices)
                watch += member.watch_busy if busy else member.watch_free
        spare.append(watch - unwatched)
    return spare


def on_duty(day: Day, plan: Plan, staff: str) -> set[int]:
    """Minutes in the member's hours and not on a break."""
    minutes = {minute for start, end in day.staff_by_id[staff].hours for minute in range(start, end)}
    return minutes - {minute for each in plan.breaks if each.staff == staff for minute in range(each.start, each.end)}


def item_minutes(day: Day, plan: Plan) -> dict[str, set[int]]:
    """Item → minutes from the first part of a stay that names it to the end of the last that does."""
    found: dict[str, set[int]] = defaultdict(set)
    for visit in plan.visits:
        parts = list(zip(day.visit_by_id[visit.id].parts, visit.parts, strict=True))
        together = day.visit_by_id[visit.id].same_unit
        for group in [parts] if together else [[each] for each in parts]:
            for item in {id for _, placed in group for ids in placed.items.values() for id in ids}:
                named = [(part, placed) for part, placed in group if any(item in ids for ids in placed.items.values())]
                found[item] |= set(range(named[0][1].start, named[-1][1].start + named[-1][0].minutes))
    return found
