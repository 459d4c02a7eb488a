"""The invented clinic set up through the same forms as any clinic, from what its day has."""

import datetime
from collections.abc import Iterator

from app.db.store import Store
from app.services.setup.changing import save_change
from app.services.setup.clinic_changes import SaveClinic, SaveOpening
from app.services.setup.filled import filled_set_up
from app.services.setup.forms import (
    ApplicatorForm,
    ClinicForm,
    MemberForm,
    OpeningForm,
    PlaceForm,
    ThingForm,
    UnitForm,
)
from app.services.setup.texts import as_intervals, as_list
from app.services.setup.things import SaveThing
from solver.clinic import StaffMember, Unit
from solver.clock import Interval
from solver.problem import Day

WORKING_DAYS = frozenset(range(5))


def set_up_demo(store: Store, day: Day, *, actor: str) -> None:
    """Make all that the day has, with its hours on working days and on the weekday of the day."""
    for form in _things(day):
        save_change(store, SaveThing(form=form, read=None), actor=actor)
    now = filled_set_up(store)
    opening = _weekly(day.date, as_intervals([Interval(day.open, day.close)]))
    clinic = ClinicForm(
        name=now.clinic.name,
        time_zone=now.clinic.time_zone,
        step_min=str(day.step_min),
        move_min=str(day.move_min),
        bay_turnover_min=str(day.bay_turnover_min),
        aims=as_list(day.aims),
    )
    read = save_change(store, SaveClinic(form=clinic, read=now.version), actor=actor).version
    save_change(store, SaveOpening(form=OpeningForm(hours=opening), read=read), actor=actor)


def _things(day: Day) -> Iterator[ThingForm]:
    for place in day.places:
        yield PlaceForm(code=place.id, name=place.name, bays=as_list(place.bays), tags=as_list(place.tags))
    for unit in day.units:
        yield _unit(unit)
    for pool in day.applicators:
        yield ApplicatorForm(
            code=pool.id,
            name=pool.name,
            items=as_list(pool.items),
            fits=as_list(pool.fits or ()),
            turnaround_min=str(pool.turnaround_min),
        )
    for member in day.staff:
        yield _member(member, day.date)


def _unit(unit: Unit) -> UnitForm:
    battery = unit.battery
    power = {}
    if battery is not None:
        figures = ("capacity_wh", "start_pct", "reserve_pct", "standby_w", "pump_w", "charge_w", "min_charge_min")
        power = {name: str(getattr(battery, name)) for name in figures}
        power["draw_w"] = as_list(f"{output} {watts}" for output, watts in battery.draw_w.items())
    return UnitForm(
        code=unit.id,
        name=unit.name,
        patients_at_once=str(unit.patients_at_once),
        places=as_list(unit.places),
        channel_id=tuple(channel.id for channel in unit.channels),
        channel_drives=tuple(as_list(channel.drives) for channel in unit.channels),
        on_mains="yes" if battery is None else "",
        **power,
    )


def _member(member: StaffMember, date: datetime.date) -> MemberForm:
    breaks = ", ".join(f"{due.minutes} in {as_intervals([due.between])}" for due in member.breaks)
    return MemberForm(
        code=member.id,
        name=member.name,
        kind=member.kind,
        skills=as_list(member.skills),
        watch_free=str(member.watch_free),
        watch_busy=str(member.watch_busy),
        hours=_weekly(date, as_intervals(member.hours)),
        breaks=_weekly(date, breaks),
    )


def _weekly(date: datetime.date, text: str) -> tuple[str, ...]:
    days = WORKING_DAYS | {date.weekday()}
    return tuple(text if weekday in days else "" for weekday in range(7))
