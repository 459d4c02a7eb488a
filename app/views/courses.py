"""Courses: the lines of a patient's page, and the form."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Protocol

from app.views.forms import Field, Group, choice
from app.views.set_up import WEEKDAYS


class Course(Protocol):
    """What is read of a course."""

    @property
    def id(self) -> int: ...
    @property
    def treatment(self) -> str: ...
    @property
    def is_own(self) -> bool: ...
    @property
    def form(self) -> dict[str, Any]: ...
    @property
    def prescribed_on(self) -> date | None: ...
    @property
    def status(self) -> str: ...
    @property
    def booked(self) -> int: ...
    @property
    def left(self) -> int: ...
    @property
    def version(self) -> int: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseView:
    """A course in a list. ``when``: its spacing, weekdays and hours in words."""

    id: int
    treatment: str
    when: str
    prescribed: str
    status: str
    booked: int
    left: int
    version: int
    is_open: bool


def course_lines(courses: Iterable[Course]) -> tuple[CourseView, ...]:
    return tuple(
        CourseView(
            id=course.id,
            treatment=course.treatment + (" (own parameters)" if course.is_own else ""),
            when=_when(course.form),
            prescribed=f"{course.form['prescribed_by']}, {course.prescribed_on or 'date not recorded'}",
            status=course.status,
            booked=course.booked,
            left=course.left,
            version=course.version,
            is_open=course.status == "open",
        )
        for course in courses
    )


def _when(form: Mapping[str, Any]) -> str:
    words = [f"{form['sessions']} sessions, {form['least_days']} to {form['most_days']} days from one to the next"]
    if form["weekdays"]:
        words.append("on " + ", ".join(WEEKDAYS[int(day)] for day in form["weekdays"]))
    words += [f"from {start} to {end}" for start, end in form["hours"]]
    if form["therapist"]:
        words.append(f"with {form['therapist']} where possible")
    return "; ".join(words)


def course_groups(
    form: Mapping[str, Any],
    faults: Mapping[str, str],
    treatments: Mapping[str, str],
    therapists: Mapping[str, str],
    *,
    new: bool,
) -> tuple[Group, ...]:
    """``new``: the treatment is chosen; later it stays."""

    def text(name: str, label: str, help: str = "", **more: Any) -> Field:
        return Field(
            name=name, label=label, value=str(form.get(name, "")), help=help, fault=faults.get(name, ""), **more
        )

    hours = (form.get("hours") or [["", ""]])[0]
    weekdays = {str(day) for day in form.get("weekdays") or ()}
    chosen = Field(
        name="treatment",
        label="Treatment",
        kind="choice",
        options=choice([("", "choose one"), *treatments.items()], (str(form.get("treatment", "")),)),
        fault=faults.get("treatment", ""),
    )
    anyone = [("", "any therapist"), *therapists.items()]
    return (
        Group(
            title="What",
            fields=(
                *((chosen,) if new else ()),
                text("sessions", "Sessions", kind="number"),
                text("prescribed_by", "Prescribed by", "The clinician’s name."),
            ),
        ),
        Group(
            title="When",
            fields=(
                text("least_days", "Fewest days from one to the next", "1: the next day at least.", kind="number"),
                text("most_days", "Most days from one to the next", kind="number"),
                Field(
                    name="weekdays",
                    label="Weekdays",
                    kind="checks",
                    help="None ticked: any.",
                    options=choice([(str(i), day) for i, day in enumerate(WEEKDAYS)], weekdays),
                    fault=faults.get("weekdays", ""),
                ),
                Field(name="hours_from", label="Not before", value=hours[0], help="Such as 09:00. May stay empty."),
                Field(name="hours_to", label="Over by", value=hours[1], fault=_of_hours(faults)),
                Field(
                    name="therapist",
                    label="Therapist",
                    kind="choice",
                    options=choice(anyone, (form.get("therapist", ""),)),
                    fault=faults.get("therapist", ""),
                ),
                text("priority", "Priority", "What leaving a session out costs in a plan; 1 is usual.", kind="number"),
            ),
        ),
    )


def _of_hours(faults: Mapping[str, str]) -> str:
    return " ".join(text for where, text in faults.items() if where.startswith("hours"))
