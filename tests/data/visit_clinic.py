"""A day of three visits for what happens to visits. Nobody in it is real.

One unit, one therapist: Ann 09:00, Bea 09:30, ten minutes each; Cy is left out, since he may come at 09:00 only.
"""

from sqlmodel import col, select

from app.db.store import Store
from app.models import BookedVisit
from app.services.days import KeptDay, kept_day, save_day
from solver.clock import Interval
from solver.problem import Day
from solver.schedule import Plan
from tests.builders import A_DATE, a_channel, a_day, a_part, a_plan, a_therapist, a_unit, a_visit, hands_on, placed


def three_visits() -> tuple[Day, Plan]:
    day = a_day(
        a_visit(a_part(hands_on(10)), id="V1", patient="Ann Early"),
        a_visit(a_part(hands_on(10)), id="V2", patient="Bea Later"),
        a_visit(a_part(hands_on(10)), id="V3", patient="Cy Two", free=(Interval(540, 550),)),
        units=(a_unit(channels=(a_channel(),)),),
        staff=(a_therapist(),),
    )
    return day, a_plan(day, placed(day.visits[0], "09:00"), placed(day.visits[1], "09:30"))


def save_three(store: Store) -> dict[str, int]:
    """Saves them as version 1; the rows' ids by code."""
    save_day(store, *three_visits(), read=0, actor="desk one")
    with store.reading() as session:
        rows = session.exec(select(BookedVisit).order_by(col(BookedVisit.id)))
        return {row.code: row.id or 0 for row in rows}


def present(store: Store) -> KeptDay:
    found = kept_day(store, A_DATE)
    assert found is not None
    return found
