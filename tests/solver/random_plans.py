"""Random small days with random plans for them, crowded so that resource rules break about as often as they hold.

Ids exist and shapes are right; everything else is left to chance, with most values near their limits.
"""

from random import Random

from solver.clinic import Applicator, Unit
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedPart, PlacedVisit, Plan
from solver.visits import Part, Visit
from tests.builders import (
    a_battery,
    a_break_taken,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    an_assistant,
    hands_on,
    set_up,
    span,
    still,
    unattended,
)

OPEN, CLOSE = 540, 630
BAYS = {"front": ("F1", "F2", "F3"), "back": ("B1", "B2")}


def random_plan(rng: Random) -> tuple[Day, Plan]:
    visits = [_visit(rng, f"V{i}") for i in range(rng.randint(1, 4))]
    day = a_day(
        *visits,
        open=OPEN,
        close=CLOSE,
        move_min=rng.choice([0, 3, 6]),
        bay_turnover_min=rng.choice([0, 2, 5]),
        units=[_unit(rng, f"U{i}") for i in range(rng.randint(1, 2))],
        applicators=[an_applicator("heads", rng.randint(1, 3), turnaround_min=rng.choice([0, 4]))],
        places=[a_place(id, bays) for id, bays in BAYS.items()],
        staff=[
            a_therapist(hours=["09:00-09:40", "09:40-10:25"], watch_free=rng.randint(0, 3), watch_busy=0),
            an_assistant(hours=span("09:10-10:30"), watch_free=2, watch_busy=rng.randint(0, 2)),
        ],
    )
    return day, a_plan(day, *(_placed(rng, day, visit) for visit in visits), breaks=_breaks(rng))


def _visit(rng: Random, id: str) -> Visit:
    return a_visit(*(_part(rng) for _ in range(rng.randint(1, 3))), id=id, same_unit=rng.random() < 0.5)


def _part(rng: Random) -> Part:
    phases = [hands_on, unattended, set_up, still]
    return a_part(
        *(rng.choice(phases)(rng.randint(1, 8)) for _ in range(rng.randint(1, 3))),
        channels=rng.choice([{"pads": 1}, {"pads": 1}, {"pads": 2}, {"ultrasound": 1}, {"cups": 1, "ultrasound": 1}]),
        applicators={"heads": 1} if rng.random() < 0.4 else {},
        suction_kpa=rng.choice([None, None, 20, 30]),
    )


def _unit(rng: Random, id: str) -> Unit:
    battery = a_battery(
        capacity_wh=rng.choice([4, 7, 11]),
        start_pct=rng.choice([20, 60, 100]),
        reserve_pct=rng.choice([0, 7, 15]),
        standby_w=rng.randint(0, 2),
        draw_w={"pads": 7, "cups": 9, "ultrasound": 12},
        pump_w=rng.choice([0, 5]),
        charge_w=rng.choice([0, 11, 40]),
        min_charge_min=rng.choice([0, 1, 5, 10]),
    )
    return a_unit(
        id, patients_at_once=rng.randint(1, 3), places=tuple(BAYS), battery=battery if rng.random() < 0.8 else None
    )


def _placed(rng: Random, day: Day, visit: Visit) -> PlacedVisit:
    where = _where(rng, day)
    start = OPEN + rng.randint(0, 45)
    parts = []
    for part in visit.parts:
        if not visit.same_unit and rng.random() < 0.6:
            where = _where(rng, day)
        unit, place, bay = where
        parts.append(
            PlacedPart(
                id=part.id,
                start=start,
                unit=unit,
                place=place,
                bay=bay,
                channels=_channels(rng, part),
                items={"heads": _items(rng, day.applicators[0])} if part.applicators else {},
                hands=tuple(None if phase.hands == "nobody" else rng.choice(["T1", "A1"]) for phase in part.phases),
            )
        )
        start += part.minutes + rng.choice([-2, 0, 0, 1, 4, 8])
    return PlacedVisit(id=visit.id, therapist="T1", parts=tuple(parts))


def _where(rng: Random, day: Day) -> tuple[str, str, str]:
    place = rng.choice(["front", "front", "back"])
    return rng.choice(day.units).id, place, rng.choice(BAYS[place])


def _channels(rng: Random, part: Part) -> dict[str, tuple[str, ...]]:
    free = ["s1", "s2"]
    rng.shuffle(free)
    named = {
        output: ("u1",) if output == "ultrasound" else tuple(free[:count]) for output, count in part.channels.items()
    }
    if rng.random() < 0.03:
        named[rng.choice(["pads", "ultrasound"])] = rng.choice([(), ("s1",), ("u1",), ("s1", "s1")])
    return named


def _items(rng: Random, pool: Applicator) -> tuple[str, ...]:
    return tuple(rng.choices(pool.items, k=rng.choice([1] * 15 + [0, 2])))


def _breaks(rng: Random) -> list[PlacedBreak]:
    return [
        a_break_taken(rng.choice(["T1", "A1"]), OPEN + rng.randint(0, 60), rng.randint(1, 20))
        for _ in range(rng.randint(0, 2))
    ]
