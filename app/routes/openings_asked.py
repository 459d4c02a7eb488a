"""From the address of the Openings page to what is asked of its services, and the form's view."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from fastapi import Request

from app.clock import days_after
from app.routes.access import may, signed_in
from app.routes.faults import as_lines
from app.routes.parts import Parts, parts_of
from app.services.openings.asking import EVERY_WEEKDAY, Asked, Limits, asked_for
from app.services.openings.choices import Bookable, Prescribed, bookable_for, coming_for
from app.services.openings.moving import move_asked
from app.services.openings.ready import ReadyDay
from app.services.patients import PatientLine, read_patient
from app.services.visits.waiting import Waited, waited_for
from app.typed import date_of
from app.views.forms import Option
from app.views.openings import AskView, ComingLine, GroupOfOptions, PatientView
from app.views.openings_ask import Ask
from app.views.openings_words import DAYS, length_options, short_date, weekday_options
from solver.clock import DAY_MIN, Interval, clock, parse_clock
from solver.errors import InputError

WALK_IN_MIN = 30
_GROUPS = (("course", "Courses"), ("own", "For this patient only"), ("catalogue", "Catalogue"))


@dataclass(frozen=True)
class AskedPage:
    """A request of the page. What of it does not exist is left out, as if it had not been asked for; ``faults``: what
    cannot be read of it, a line each."""

    request: Request
    ask: Ask
    faults: tuple[str, ...] = ()

    @cached_property
    def parts(self) -> Parts:
        return parts_of(self.request)

    @cached_property
    def today(self) -> datetime.date:
        return self.parts.clock().date()

    @cached_property
    def _minute(self) -> int:
        now = self.parts.clock()
        return now.hour * 60 + now.minute

    @cached_property
    def may_book(self) -> bool:
        return may(signed_in(self.request), "POST /openings/book")

    @cached_property
    def move(self) -> tuple[datetime.date, str] | None:
        """The date and the code of the visit that is to be moved."""
        date = date_of(self.ask.move_date)
        return (date, self.ask.move) if date is not None and self.ask.move else None

    @property
    def moved(self) -> tuple[Asked, int] | None:
        """What is to be moved, and the id of its patient."""
        return self._to_move[0]

    @property
    def unmovable(self) -> str:
        """Why what is to be moved cannot be; empty where it can, or where nothing is to be."""
        return self._to_move[1]

    @cached_property
    def _to_move(self) -> tuple[tuple[Asked, int] | None, str]:
        if self.move is None:
            return None, ""
        try:
            return move_asked(self.parts.store, *self.move, self.limits), ""
        except InputError as error:
            return None, "; ".join(as_lines(error))

    @cached_property
    def patient(self) -> PatientLine | None:
        return self._patient(self.ask.patient_id if self.moved is None else self.moved[1])

    @cached_property
    def waited(self) -> Waited | None:
        """The entry of the waiting list, where it is the patient's."""
        id = self.ask.waiting_id
        waited = None if id is None or self.patient is None else waited_for(self.parts.store, id)
        return waited if waited is not None and self.patient and waited.patient_id == self.patient.id else None

    @property
    def waiting(self) -> str:
        """The entry of the waiting list, as it stands in addresses; empty where it is on the list no longer."""
        return self.ask.waiting if self.waited is not None else ""

    @cached_property
    def second(self) -> PatientLine | None:
        found = self._patient(self.ask.second_id)
        return None if self.patient is None or found == self.patient else found

    def _patient(self, id: int | None) -> PatientLine | None:
        if id is None:
            return None
        try:
            found = read_patient(self.parts.store, id)
        except InputError:
            return None
        return found if found.name else None

    @cached_property
    def bookable(self) -> tuple[Bookable, ...]:
        return bookable_for(self.parts.store, self.patient.id) if self.patient is not None else ()

    @cached_property
    def second_bookable(self) -> tuple[Bookable, ...]:
        return bookable_for(self.parts.store, self.second.id) if self.second is not None else ()

    @cached_property
    def what(self) -> Bookable | None:
        """What is to be booked; where nothing is chosen yet, the one open course that there is."""
        chosen = _chosen(self.bookable, self.ask.what)
        courses = [one for one in self.bookable if one.kind == "course"]
        return courses[0] if chosen is None and not self.ask.what and len(courses) == 1 else chosen

    @cached_property
    def second_what(self) -> Bookable | None:
        """What the second patient gets: the same as the first, unless something else is chosen."""
        same = self.ask.what or (self.what.key if self.what is not None else "")
        return _chosen(self.second_bookable, self.ask.second_what or same)

    @cached_property
    def limits(self) -> Limits:
        ask, prescribed = self.ask, self._prescribed
        first = max(self.today, date_of(ask.first) or self.today)
        last = days_after(first, ask.length - 1)
        within = None
        if ask.walk:
            first = last = self.today
            within = Interval(self._minute, min(DAY_MIN, self._minute + WALK_IN_MIN + 1))
        after, before = parse_clock(ask.after) or 0, parse_clock(ask.before) or DAY_MIN
        asks_hours = bool(ask.after or ask.before) and after < before
        hours = self._waited_hours or prescribed.hours
        therapist = ask.therapist or prescribed.therapist or None
        return Limits(
            first=first,
            last=last,
            weekdays=frozenset(int(digit) for digit in ask.weekdays) or prescribed.weekdays or EVERY_WEEKDAY,
            hours=(Interval(after, before),) if asks_hours else hours,
            wish=parse_clock(ask.wish) if ask.wish else None,
            therapist_wish=None if ask.must else therapist,
            therapist_must=therapist if ask.must else None,
            tags=(ask.tag,) if ask.tag else (),
            within=within,
        )

    @cached_property
    def _waited_hours(self) -> tuple[Interval, ...]:
        """Those in which whoever waits can come, where they are several: the form holds no more than one interval."""
        return self.waited.hours if self.waited is not None and len(self.waited.hours) > 1 else ()

    @cached_property
    def _prescribed(self) -> Prescribed:
        # What is moved keeps to no course's hours: the desk knows why.
        return Prescribed() if self.move is not None or self.what is None else self.what.prescribed

    @cached_property
    def asked(self) -> Asked | None:
        """What is looked for; None where that is not known yet."""
        if self.moved is not None:
            return self.moved[0]
        return None if self.what is None else asked_for(self.parts.store, self.what.wanted, self.limits)

    @cached_property
    def second_asked(self) -> Asked | None:
        wanted = self.second_what
        return None if wanted is None else asked_for(self.parts.store, wanted.wanted, self.limits)

    @cached_property
    def days(self) -> Sequence[ReadyDay]:
        return self.parts.ready.between(self.limits.first, self.limits.last)

    def day_of(self, date: datetime.date) -> ReadyDay:
        """The day of the date, as it was when the page was asked for where it is one of those looked at."""
        return next((day for day in self.days if day.date == date), None) or self.parts.ready.on(date)

    @property
    def _whole_course(self) -> str:
        """Where all sessions are booked in one go; empty where what is chosen has not several left."""
        what = self.what
        if what is None or what.left < 2 or self.second is not None or not self.may_book:
            return ""
        return f"/openings/course?patient={what.wanted.patient_id}&course={what.wanted.course_id}"

    def view(self) -> AskView:
        """The form as it was filled in."""
        ask = self.ask
        members = {one.id: one for day in self.days if day.day for one in day.day.staff}
        therapists = [(id, one.name) for id, one in members.items() if one.kind == "therapist"]
        tags = dict.fromkeys(tag for day in self.days if day.day for place in day.day.places for tag in place.tags)
        moving = ""
        if self.move is not None:
            moving = f"visit {self.move[1]} of {short_date(self.move[0])}"
        another = ask.address(patient="", what="", date="", at="", why="", waiting="")
        return AskView(
            ask=ask,
            query=ask.query(date="", at=""),
            patient=self._patient_view(self.patient, another),
            second=self._patient_view(self.second, ask.address(second="", second_what="", date="", at="")),
            whats=_groups(self.bookable, self.what),
            second_whats=_groups(self.second_bookable, self.second_what),
            first=self.limits.first.isoformat(),
            days=length_options(ask.length),
            weekdays=weekday_options(ask.weekdays),
            therapists=_options([("", "anyone"), *sorted(therapists, key=lambda one: one[1])], ask.therapist),
            tags=_options([("", "anywhere"), *((tag, tag) for tag in tags)], ask.tag),
            prescribed=_said(self._prescribed),
            whole_course=self._whole_course,
            waits=self.waited is not None,
            waited_hours=" or ".join(str(hours) for hours in self._waited_hours),
            is_limited=any((ask.weekdays, ask.after, ask.before, ask.wish, ask.therapist, ask.must, ask.tag)),
            moving=moving,
            may_book=self.may_book,
            walk=ask.address(walk="" if ask.walk else "1", date="", at="", why=""),
        )

    def _patient_view(self, patient: PatientLine | None, change: str) -> PatientView | None:
        if patient is None:
            return None
        coming = [
            ComingLine(
                text=f"{short_date(one.date)} {clock(one.start) if one.start is not None else 'not placed'}, "
                f"{one.treatment}",
                move=Ask(move=one.code, move_date=one.date.isoformat()).address(),
            )
            for one in coming_for(self.parts.store, patient.id, self.today)
            if one.date > self.today or one.start is None or one.start >= self._minute
        ]
        return PatientView(name=patient.name, code=patient.code, change=change, coming=tuple(coming))


def _chosen(bookable: Sequence[Bookable], key: str) -> Bookable | None:
    return next((one for one in bookable if one.key == key), None)


def _options(pairs: Sequence[tuple[str, str]], chosen: str) -> tuple[Option, ...]:
    return tuple(Option(value=value, text=text, chosen=value == chosen) for value, text in pairs)


def _groups(bookable: Sequence[Bookable], chosen: Bookable | None) -> tuple[GroupOfOptions, ...]:
    found = []
    for kind, label in _GROUPS:
        options = tuple(
            Option(
                value=one.key,
                text=one.name + (f" ({one.left} left to book)" if one.kind == "course" else ""),
                chosen=one is chosen,
            )
            for one in bookable
            if one.kind == kind
        )
        if options:
            found.append(GroupOfOptions(label=label, options=options))
    return tuple(found)


def _said(prescribed: Prescribed) -> str:
    """``Mon, Wed; 09:00–12:00; with T1``: what the course asks for; empty where nothing."""
    weekdays = ", ".join(DAYS[day] for day in sorted(prescribed.weekdays))
    hours = " or ".join(str(hours) for hours in prescribed.hours)
    therapist = f"with {prescribed.therapist}" if prescribed.therapist else ""
    return "; ".join(said for said in (weekdays, hours, therapist) if said)
