"""The bench's days: every feature in each, the same for the same seed, and all that is fixed can stand."""

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import pytest

from solver.compose import explained, finished, plan_of
from solver.construct import construct
from solver.masks.ledger import Ledger
from solver.names import AIMS
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from solver.visits import Part, Visit
from tests.bench.days import bench_day
from tests.bench.repair import ILL_AT, repair_day
from tests.bench.sizes import SIZES
from tests.builders import a_plan

ROOMY = {f"{size} {seed}": bench_day(size, seed) for size in ("S", "M") for seed in range(1, 4)}
CROWDED = {f"{size} {seed}": bench_day(size, seed, crowded=True) for size in ("S", "M") for seed in range(1, 3)}
LARGE = bench_day("L", 1)


def _first_plan(day: Day) -> Plan:
    ledger = construct(day)
    assert isinstance(ledger, Ledger)
    return plan_of(day, ledger.visits, ledger.breaks)


def _visits(wanted: Callable[[Visit], bool]) -> Callable[[Day], bool]:
    return lambda day: any(wanted(visit) for visit in day.visits)


def _parts(wanted: Callable[[Part], bool]) -> Callable[[Day], bool]:
    return _visits(lambda visit: any(wanted(part) for part in visit.parts))


def _wishes(day: Day, start: int, end: int) -> int:
    return sum(visit.wish is not None and start <= visit.wish < end for visit in day.visits)


FEATURES: dict[str, Callable[[Day], bool]] = {
    "channels whose classes overlap": lambda day: any(
        set(a.drives) & set(b.drives) and a.drives != b.drives
        for u in day.units
        for a in u.channels
        for b in u.channels
    ),
    "a channel for two outputs": lambda day: any(len(c.drives) > 1 for unit in day.units for c in unit.channels),
    "ultrasound and pads at once": _parts(lambda part: {"ultrasound", "pads"} <= set(part.channels)),
    "cups and pads at once": _parts(lambda part: {"cups", "pads"} <= set(part.channels)),
    "two parts on one unit": _visits(lambda visit: len(visit.parts) > 1 and visit.same_unit),
    "two parts that roam": _visits(lambda visit: len(visit.parts) > 1 and not visit.same_unit),
    "a longest wait": _parts(lambda part: part.max_wait_min is not None),
    "suction levels": lambda day: len({p.suction_kpa for v in day.visits for p in v.parts} - {None}) == 2,
    "turnarounds of 10, 15 and 20 minutes": lambda day: {p.turnaround_min for p in day.applicators} == {10, 15, 20},
    "a pool that fits some units only": lambda day: any(
        pool.fits is not None and len(pool.fits) < len(day.units) for pool in day.applicators
    ),
    "a battery": lambda day: any(unit.battery is not None for unit in day.units),
    "mains": lambda day: any(unit.battery is None for unit in day.units),
    "a unit with two places": lambda day: any(len(unit.places) == 2 for unit in day.units),
    "minutes to move": lambda day: day.move_min > 0,
    "minutes to make a bay ready": lambda day: day.bay_turnover_min > 0,
    "breaks that may move": lambda day: all(b.minutes < b.between.minutes for m in day.staff for b in m.breaks),
    "wishes that collide in the morning": lambda day: _wishes(day, day.open, day.open + 61) > len(day.units),
    "wishes that collide late": lambda day: _wishes(day, day.close - 120, day.close) > len(day.units),
    "an unattended phase": _parts(lambda part: any(phase.unattended for phase in part.phases)),
    "a running phase in anyone's hands": _parts(
        lambda part: any(phase.running and phase.hands == "anyone" for phase in part.phases)
    ),
    "a visit without a therapist": _visits(lambda visit: not visit.needs_therapist),
    "a skill": _parts(lambda part: part.skill is not None),
    "a therapist who is wished for": _visits(lambda visit: visit.therapist_wish is not None),
    "a therapist who is required": _visits(lambda visit: visit.therapist_must is not None),
    "a place that needs a tag": _visits(lambda visit: bool(visit.place_tags)),
    "a visit free in two intervals": _visits(lambda visit: len(visit.free or ()) == 2),
    "priorities": lambda day: len({visit.priority for visit in day.visits}) > 1,
    "a patient with two visits": lambda day: max(Counter(visit.patient for visit in day.visits).values()) == 2,
    "all aims": lambda day: day.aims == AIMS,
}


@pytest.mark.parametrize("feature", FEATURES)
def test_every_day_has(feature: str) -> None:
    assert [name for name, day in {**ROOMY, "L 1": LARGE}.items() if not FEATURES[feature](day)] == []


@pytest.mark.parametrize("size", ["S", "M", "L"])
def test_a_day_is_as_big_as_it_is_called(size: str) -> None:
    day, figures = bench_day(size, 1), SIZES[size]
    assert (len(day.units), len(day.visits), len(day.staff)) == (figures.units, figures.visits, figures.staff)


def test_the_sizes_are_the_published_ones() -> None:
    sizes = {name: (size.units, size.visits, size.staff) for name, size in SIZES.items()}
    assert sizes == {"S": (2, 14, 2), "M": (4, 45, 5), "L": (8, 110, 10), "XL": (20, 380, 26)}


@pytest.mark.parametrize("crowded", [False, True])
def test_the_same_seed_makes_the_same_day_and_another_seed_another(crowded: bool) -> None:
    assert bench_day("S", 3, crowded) == bench_day("S", 3, crowded)
    assert bench_day("S", 3, crowded) != bench_day("S", 4, crowded)


def test_a_tenth_is_fixed_and_a_first_plan_that_is_right_keeps_it() -> None:
    for day in (*ROOMY.values(), *CROWDED.values()):
        assert sum(visit.fixed is not None for visit in day.visits) == max(1, round(len(day.visits) / 10))
        plan = finished(day, explained(day, _first_plan(day)), dict.fromkeys(day.aims, 0))
        assert verify(day, plan) == []


def test_days_leave_almost_nobody_out_and_crowded_ones_more() -> None:
    assert max(len(_first_plan(day).left_out) for day in ROOMY.values()) <= 2
    assert min(len(_first_plan(day).left_out) for day in CROWDED.values()) > 2


def test_the_batteries_bind() -> None:
    """With batteries that never run down a first plan differs in nearly every day of size M."""
    days = [day for day in ROOMY.values() if len(day.units) == SIZES["M"].units]
    assert sum(_first_plan(day).visits != _first_plan(_on_mains(day)).visits for day in days) >= len(days) - 1


def _on_mains(day: Day) -> Day:
    return replace(day, units=tuple(replace(unit, battery=None) for unit in day.units))


@pytest.mark.parametrize("seed", range(1, 6))
def test_a_repair_fixes_what_has_begun_and_sends_one_therapist_home(seed: int) -> None:
    day = bench_day("M", seed)
    plan = finished(day, explained(day, _first_plan(day)), dict.fromkeys(day.aims, 0))
    repair = repair_day(day, plan)

    begun = {placed.id for placed in plan.visits if placed.parts[0].start < ILL_AT}
    assert {visit.id for visit in repair.visits if visit.fixed is not None} == begun
    assert all(span.start >= ILL_AT for v in repair.visits if v.id not in begun for span in repair.visit_free(v))
    gone = [after for now, after in zip(day.staff, repair.staff, strict=True) if now.hours != after.hours]
    assert [member.kind for member in gone] == ["therapist"]
    assert repair.published == plan.visits
    assert repair.aims.index("stable") == 1
    standing = [placed for placed in plan.visits if placed.id in begun]
    breaks = [b for b in plan.breaks if b.start < ILL_AT or b.staff != gone[0].id]
    assert verify(repair, a_plan(repair, *standing, breaks=breaks)) == []
