"""A clinic that is set up through the services alone, and days of it. Nothing here is a real clinic.

Open 09:00–17:00 from Monday to Friday. Unit U1 at ``front`` (bays F1 and F2), on mains, for two patients, with the
channels u1 (ultrasound), s1 and s2 (pads, cups); a second like it, U2. T1 is there all day and has a break of 30
minutes within 12:00–14:00; A1 is there from 09:00 to 13:00. Two heads.
"""

from dataclasses import replace
from datetime import date, datetime

from app.db.store import Store
from app.services.days import KeptDay, kept_day, new_day, save_day
from app.services.setup.changing import Saved, save_change
from app.services.setup.clinic_changes import SaveOpening
from app.services.setup.filled import Filled, filled_set_up
from app.services.setup.forms import ApplicatorForm, MemberForm, OpeningForm, PlaceForm, ThingForm, UnitForm
from app.services.setup.things import SaveThing
from app.services.setup.work import Change
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedVisit
from solver.visits import Visit
from tests.builders import a_break_taken, a_part, a_plan, a_visit, hands_on, placed, unattended

TODAY = date(2031, 3, 3)
MONDAY, TUESDAY = date(2031, 3, 10), date(2031, 3, 11)
WEEKDAYS = ("09:00-17:00",) * 5 + ("", "")
FRONT = PlaceForm(code="front", bays="F1, F2")
U1 = UnitForm(
    code="U1",
    patients_at_once="2",
    places="front",
    channel_id=("u1", "s1", "s2"),
    channel_drives=("ultrasound", "pads, cups", "pads, cups"),
)
U2 = replace(U1, code="U2")
HEADS = ApplicatorForm(code="heads", items="heads-1, heads-2", turnaround_min="5")
T1 = MemberForm(
    code="T1",
    kind="therapist",
    skills="hands",
    watch_free="2",
    watch_busy="2",
    hours=WEEKDAYS,
    breaks=("30 in 12:00-14:00",) * 5 + ("", ""),
)
A1 = MemberForm(code="A1", kind="assistant", watch_free="2", watch_busy="1", hours=("09:00-13:00",) * 5 + ("", ""))
OPENING = OpeningForm(hours=WEEKDAYS)


def clock() -> datetime:
    """Noon of a Monday; the days of the tests are a week later."""
    return datetime.combine(TODAY, datetime.min.time().replace(hour=12)).astimezone()


def save(store: Store, change: Change, shown: str = "") -> Saved:
    return save_change(store, change, actor="manager", shown=shown, clock=clock)


def set_up(store: Store) -> None:
    save(store, SaveOpening(form=OPENING, read=0))
    for form in (FRONT, U1, U2, HEADS, T1, A1):
        save(store, SaveThing(form=form, read=None))


def filled(store: Store, code: str) -> Filled:
    """The thing as it is set up now."""
    now = filled_set_up(store)
    return next(one for one in (*now.places, *now.units, *now.applicators, *now.staff) if one.form.code == code)


def version(store: Store, code: str) -> int:
    return filled(store, code).version


def changed(store: Store, form: ThingForm) -> SaveThing:
    """The change to the form, from what is set up now."""
    return SaveThing(form=form, read=version(store, form.code))


ANN = a_visit(a_part(hands_on(20)), id="V1", patient="Ann Early")
BEA = a_visit(a_part(hands_on(10), unattended(20), channels={"ultrasound": 1}, applicators={"heads": 1}), id="V2")
CAY = a_visit(a_part(hands_on(30, "anyone")), id="V3")


def book(
    store: Store, on: date, *visits: tuple[Visit, PlacedVisit], breaks: tuple[PlacedBreak, ...] | None = None
) -> KeptDay:
    """Save a day with the visits placed as given. T1's break is at 12:00 unless given."""
    day = new_day(store, on)
    assert day is not None
    day = replace(day, visits=tuple(visit for visit, _ in visits))
    if breaks is None:
        breaks = (a_break_taken("T1", "12:00", 30),)
    plan = replace(a_plan(day, *(where for _, where in visits), breaks=breaks), date=on)
    save_day(store, day, plan, read=0, actor="desk")
    return kept(store, on)


def a_booked_day(store: Store, on: date = MONDAY) -> KeptDay:
    """V1 at 09:00 on U1 with T1, V2 at 10:00 on U2 with T1, V3 at 12:00 on U1 with A1."""
    return book(
        store,
        on,
        (ANN, placed(ANN, "09:00")),
        (BEA, placed(BEA, "10:00", unit="U2", bay="F2")),
        (CAY, placed(CAY, "12:00", hands="A1")),
    )


def kept(store: Store, on: date = MONDAY) -> KeptDay:
    found = kept_day(store, on)
    assert found is not None
    return found


def placed_ids(known: KeptDay) -> list[str]:
    assert known.plan is not None
    return [visit.id for visit in known.plan.visits]


def day_without_visits(day: Day) -> Day:
    return replace(day, visits=())
