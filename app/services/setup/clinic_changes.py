"""Changes of the clinic itself: its figures, its weekly opening hours, its closures."""

import datetime
from dataclasses import asdict, dataclass
from zoneinfo import ZoneInfo

from app.clock import zone_named
from app.queries.set_up_reading import KINDS
from app.queries.set_up_writing import put_closure, put_opening, put_span, put_zone
from app.services.setup.filled import clinic_form, opening_form
from app.services.setup.forms import WEEKDAYS, ClinicForm, ClosureForm, OpeningForm
from app.services.setup.judging import clinic_faults
from app.services.setup.texts import interval, listed, number
from app.services.setup.wording import text_faults
from app.services.setup.work import Made, Work, differing
from solver.clock import Interval
from solver.errors import Fault, InputError, refuse_if
from solver.reading.faults import Faults
from solver.reading.kinds import DATE, INTERVAL, read_or

_RECORD = "clinic"
_LONGEST = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class SaveClinic:
    """In another time zone, absences and times out of service that are not over keep their local times."""

    form: ClinicForm
    read: int

    def make(self, work: Work) -> Made:
        work.refuse_stale(_RECORD, self.read, work.set_up.version)
        form = self.form
        document = {
            "step_min": number(form.step_min),
            "move_min": number(form.move_min),
            "bay_turnover_min": number(form.bay_turnover_min),
            "aims": listed(form.aims),
        }
        faults = clinic_faults(document)
        if not form.name.strip():
            faults.insert(0, Fault("name", "the name is empty", "give the clinic's name"))
        faults += text_faults("name", form.name)
        try:
            zone_named(form.time_zone)
        except InputError as error:
            faults += [Fault("time_zone", fault.what, fault.right) for fault in error.faults]
        refuse_if(faults)
        clinic = work.clinic
        clinic.name = form.name.strip()
        clinic.aims = listed(form.aims)
        clinic.what_to_bring = " ".join(form.what_to_bring.split())[:_LONGEST]
        clinic.step_min, clinic.move_min = int(form.step_min), int(form.move_min)
        clinic.bay_turnover_min = int(form.bay_turnover_min)
        if form.time_zone != work.set_up.time_zone:
            _move_zone(work, form.time_zone)
        work.session.flush()
        old, new = clinic_form(work.set_up), clinic_form(work.now())
        return _numbered(work, differing(_RECORD, "changed", 0, asdict(old), asdict(new)))


def _move_zone(work: Work, zone: str) -> None:
    old, new = ZoneInfo(work.set_up.time_zone), ZoneInfo(zone)
    put_zone(work.session, work.clinic, zone, work.today)
    for kind in KINDS:
        for (of_kind, id), spans in work.set_up.away.items():
            for span in spans if of_kind == kind else ():
                if span.ends_at.astimezone(old).date() >= work.today:
                    starts, ends = (t.astimezone(old).replace(tzinfo=new) for t in (span.starts_at, span.ends_at))
                    put_span(work.session, kind, id, span.id, starts, ends, span.note)


@dataclass(frozen=True, slots=True, kw_only=True)
class SaveOpening:
    form: OpeningForm
    read: int

    def make(self, work: Work) -> Made:
        work.refuse_stale(_RECORD, self.read, work.set_up.version)
        found, opening = Faults(), {}
        if len(self.form.hours) != len(WEEKDAYS):
            raise InputError([Fault("hours", f"there are {len(self.form.hours)} texts", "give seven, Monday first")])
        for weekday, text in enumerate(self.form.hours):
            if text.strip():
                opening[weekday] = read_or(found, f"hours[{weekday}]", INTERVAL, interval(text), Interval(0, 1))
        refuse_if([Fault(_outer(fault.where), fault.what, fault.right) for fault in found.found])
        put_opening(work.session, work.clinic_id, opening)
        old, new = opening_form(work.set_up), opening_form(work.now())
        return _numbered(work, differing(_RECORD, "changed", 0, asdict(old), asdict(new)))


def _outer(where: str) -> str:
    """``hours[2][0]`` → ``hours[2]``."""
    return where[: where.index("]") + 1]


@dataclass(frozen=True, slots=True, kw_only=True)
class SaveClosure:
    """The clinic does not open on a date; where it is closed then already, for another reason."""

    form: ClosureForm
    read: int

    def make(self, work: Work) -> Made:
        work.refuse_stale(_RECORD, self.read, work.set_up.version)
        date = _date(self.form.date)
        refuse_if(text_faults("reason", self.form.reason))
        old = {} if (reason := work.set_up.closures.get(date)) is None else {f"closed on {date}": reason}
        put_closure(work.session, work.clinic_id, date, self.form.reason.strip())
        return _numbered(work, differing(_RECORD, "changed", 0, old, {f"closed on {date}": self.form.reason.strip()}))


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveClosure:
    """``date``: as in ``ClosureForm``."""

    date: str
    read: int

    def make(self, work: Work) -> Made:
        work.refuse_stale(_RECORD, self.read, work.set_up.version)
        date = _date(self.date)
        if date not in work.set_up.closures:
            raise InputError([Fault("date", f"no closure is set up for {date}", "read the page again")])
        put_closure(work.session, work.clinic_id, date, None)
        return _numbered(work, differing(_RECORD, "changed", 0, {f"closed on {date}": work.set_up.closures[date]}, {}))


def _date(text: str) -> datetime.date:
    found = Faults()
    date = read_or(found, "date", DATE, text.strip(), None)
    found.refuse_if_any()
    assert date is not None
    return date


def _numbered(work: Work, made: Made) -> Made:
    if not made.is_nothing:
        work.next_of_clinic()
    return Made(made.record, made.action, work.clinic.set_up_version, made.before, made.after)
