"""The demo day is what its script makes of its tables, and shows every feature of a day file."""

from collections import Counter
from collections.abc import Callable

import pytest

from demo_data.make_day import DAY_FILE, as_text, the_day
from solver.jsonio import read_day
from solver.names import AIMS
from solver.problem import Day
from solver.verify import verify
from solver.visits import Part, Phase, Visit

DAY = read_day(DAY_FILE)


def test_the_script_makes_the_file_that_is_kept() -> None:
    assert DAY_FILE.read_text(encoding="utf-8") == as_text(the_day()) + "\n"


def test_the_clinic_is_as_big_as_the_readme_says() -> None:
    assert len(DAY.units) == 4
    assert len(DAY.visits) == 42
    assert Counter(member.kind for member in DAY.staff) == {"therapist": 3, "assistant": 2}


def _visits(wanted: Callable[[Visit], bool]) -> Callable[[Day], bool]:
    return lambda day: any(wanted(visit) for visit in day.visits)


def _parts(wanted: Callable[[Part], bool]) -> Callable[[Day], bool]:
    return lambda day: any(wanted(part) for visit in day.visits for part in visit.parts)


def _phases(wanted: Callable[[Phase], bool]) -> Callable[[Day], bool]:
    return _parts(lambda part: any(wanted(phase) for phase in part.phases))


def _three_want(day: Day, low: int, high: int) -> bool:
    wishes = Counter(visit.wish for visit in day.visits if visit.wish is not None and low <= visit.wish <= high)
    return any(times >= 3 for times in wishes.values())


FEATURES: dict[str, Callable[[Day], bool]] = {
    "a unit on mains": lambda day: any(unit.battery is None for unit in day.units),
    "three units on batteries": lambda day: sum(unit.battery is not None for unit in day.units) == 3,
    "a battery not full at opening": lambda day: any(u.battery and u.battery.start_pct < 100 for u in day.units),
    "a pump that draws": lambda day: any(u.battery and u.battery.pump_w for u in day.units),
    "units with different channels": lambda day: len({tuple(c.drives for c in u.channels) for u in day.units}) == 4,
    "channels that overlap in what they drive": lambda day: any(
        set(a.drives) & set(b.drives) and set(a.drives) != set(b.drives)
        for unit in day.units
        for a in unit.channels
        for b in unit.channels
    ),
    "a unit out of service within the day": lambda day: any(u.hours and len(u.hours) > 1 for u in day.units),
    "a unit with two places": lambda day: any(len(unit.places) > 1 for unit in day.units),
    "minutes to move a unit": lambda day: day.move_min > 0,
    "minutes to make a bay ready": lambda day: day.bay_turnover_min > 0,
    "a pool that fits some units only": lambda day: any(pool.fits for pool in day.applicators),
    "different turnarounds": lambda day: {pool.turnaround_min for pool in day.applicators} >= {10, 20},
    "tagged places": lambda day: any(place.tags for place in day.places),
    "hours in two intervals": lambda day: any(len(member.hours) > 1 for member in day.staff),
    "two breaks for one member": lambda day: any(len(member.breaks) > 1 for member in day.staff),
    "breaks that may move": lambda day: any(b.minutes < b.between.minutes for m in day.staff for b in m.breaks),
    "watch with free and with busy hands": lambda day: any(m.watch_free > m.watch_busy > 0 for m in day.staff),
    "ultrasound and pads at once": _parts(lambda part: {"ultrasound", "pads"} <= set(part.channels)),
    "cups and pads at once": _parts(lambda part: {"cups", "pads"} <= set(part.channels)),
    "two regions": _parts(lambda part: part.channels.get("pads") == 2),
    "two cup sets": _parts(lambda part: part.applicators.get("cup-sets") == 2),
    "two suction levels": lambda day: len({p.suction_kpa for v in day.visits for p in v.parts} - {None}) == 2,
    "a part bound to units": _parts(lambda part: part.units is not None),
    "a longest wait": _parts(lambda part: part.max_wait_min is not None),
    "a running phase in anyone's hands": _parts(
        lambda part: any(p.running and p.hands == "anyone" for p in part.phases)
    ),
    "a still phase without hands": _phases(lambda phase: not phase.running and phase.hands == "nobody"),
    "a skill": _parts(lambda part: part.skill is not None),
    "a visit without a therapist": _visits(lambda visit: not visit.needs_therapist),
    "two parts on one unit": _visits(lambda visit: visit.same_unit and len(visit.parts) > 1),
    "two parts on different units": _visits(lambda visit: not visit.same_unit and len(visit.parts) > 1),
    "a patient with two visits": lambda day: max(Counter(visit.patient for visit in day.visits).values()) > 1,
    "priorities": lambda day: {visit.priority for visit in day.visits} >= {1, 2, 3},
    "a visit free in two intervals": _visits(lambda visit: visit.free is not None and len(visit.free) > 1),
    "a visit free all day": _visits(lambda visit: visit.free is None),
    "a therapist who is wished for": _visits(lambda visit: visit.therapist_wish is not None),
    "a therapist who is required": _visits(lambda visit: visit.therapist_must is not None),
    "a place that needs a tag": _visits(lambda visit: bool(visit.place_tags)),
    "a fixed start": _visits(lambda visit: visit.fixed_part(0).start is not None),
    "a fixed therapist": _visits(lambda visit: visit.fixed is not None and visit.fixed.therapist is not None),
    "fixed channels and items": _visits(lambda v: bool(v.fixed_part(0).channels and v.fixed_part(0).items)),
    "about a tenth fixed": lambda day: 3 <= sum(visit.fixed is not None for visit in day.visits) <= 6,
    "wishes that collide in the morning": lambda day: _three_want(day, 8 * 60, 9 * 60),
    "wishes that collide late": lambda day: _three_want(day, 16 * 60, 17 * 60),
    "what patients were told": lambda day: len(day.published) >= 8,
    "all aims": lambda day: day.aims == AIMS,
}


@pytest.mark.parametrize("feature", FEATURES)
def test_the_demo_day_has(feature: str) -> None:
    assert FEATURES[feature](DAY)


def test_yesterdays_plan_names_what_the_day_has() -> None:
    for told in DAY.published:
        visit = DAY.visit_by_id[told.id]
        for part, placed in zip(visit.parts, told.parts, strict=True):
            unit = DAY.unit_by_id[placed.unit]
            assert placed.bay in DAY.place_by_id[placed.place].bays
            assert placed.place in unit.places
            assert {output: len(ids) for output, ids in placed.channels.items()} == part.channels
            assert {pool: len(ids) for pool, ids in placed.items.items()} == part.applicators
            for output, ids in placed.channels.items():
                assert all((channel := unit.channel(id)) and output in channel.drives for id in ids)


@pytest.mark.slow
def test_one_visit_is_left_out_and_it_is_the_one_meant_to_be() -> None:
    from solver.search import solve

    plan = solve(DAY, seconds=5)
    assert [visit.id for visit in plan.left_out] == ["V23"]
    assert verify(DAY, plan) == []
