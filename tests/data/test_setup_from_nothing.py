"""A clinic goes from nothing to a solved first day through the set-up alone, without a file."""

from dataclasses import replace
from datetime import date

import pytest

from app.db.store import Store
from app.services.days import kept_day, new_day, save_day
from app.services.setup.clinic_changes import SaveClinic
from app.services.setup.filled import filled_set_up
from app.services.setup.forms import UnitForm
from app.services.setup.starting_points import starting_points, unit_from
from app.services.setup.things import SaveThing
from solver.clinic import Break
from solver.clock import Interval
from solver.search import solve
from tests.builders import a_day, a_part, a_therapist, a_unit, a_visit, an_assistant, hands_on, unattended
from tests.data.set_up_clinic import A1, FRONT, HEADS, MONDAY, OPENING, T1, U1, U2, save, set_up


def test_a_day_is_made_solved_and_saved(store: Store) -> None:
    set_up(store)
    clinic = filled_set_up(store)
    save(store, SaveClinic(form=replace(clinic.clinic, step_min="10", bay_turnover_min="5"), read=clinic.version))
    day = new_day(store, MONDAY)
    assert day is not None
    breaks = (Break(minutes=30, between=Interval(720, 840)),)
    therapist = a_therapist(skills=("hands",), hours="09:00-17:00", watch_free=2, breaks=breaks)
    wanted = a_day(
        open="09:00",
        close="17:00",
        step_min=10,
        bay_turnover_min=5,
        units=(a_unit("U1"), a_unit("U2")),
        applicators=day.applicators,
        staff=(therapist, an_assistant(hours="09:00-13:00", watch_free=2, watch_busy=1)),
    )
    assert day == replace(wanted, date=MONDAY)
    part = a_part(hands_on(10), unattended(20), applicators={"heads": 1}, skill="hands")
    day = replace(day, visits=tuple(a_visit(part, id=f"V{n}", wish="10:00") for n in range(5)))
    plan = solve(day, seconds=2, workers=1)
    assert len(plan.visits) == 5
    save_day(store, day, plan, read=0, actor="desk")
    kept = kept_day(store, MONDAY)
    assert kept is not None
    assert (kept.day, kept.plan) == (day, plan)


def test_what_is_read_is_what_was_sent(store: Store) -> None:
    set_up(store)
    now = filled_set_up(store)
    things = (*now.places, *now.units, *now.applicators, *now.staff)
    sent = (FRONT, U1, U2, HEADS, T1, A1)
    assert [one.form for one in things] == [replace(form, name=form.code) for form in sent]
    assert now.opening == OPENING
    assert {one.version for one in things} == {1}


@pytest.mark.parametrize("point", starting_points(), ids=lambda point: point.key)
def test_every_starting_point_makes_a_unit(file_store: Store, point: object) -> None:
    set_up(file_store)
    (key,) = [p.key for p in starting_points() if p is point]
    form = unit_from(key, code="U9", places="front")
    save(file_store, SaveThing(form=form, read=None))
    day = new_day(file_store, date(2031, 3, 12))
    assert day is not None
    assert (day.unit_by_id["U9"].battery is None) == bool(form.on_mains)


def test_starting_points_say_that_they_are_invented_and_which_figures_are_the_labels() -> None:
    for point in starting_points():
        assert "nvented" in point.title
        assert "nvented" in point.note
        assert bool(point.to_replace) != bool(point.form.on_mains)
        assert set(point.to_replace) <= set(UnitForm.__dataclass_fields__)
