"""What is set up now, as forms that are filled."""

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.set_up_reading import Kind, SetUp, Span, Thing, set_up_of
from app.services.setup.forms import (
    WEEKDAYS,
    ApplicatorForm,
    AwayForm,
    ClinicForm,
    ClosureForm,
    MemberForm,
    OpeningForm,
    PlaceForm,
    ThingForm,
    UnitForm,
)
from app.services.setup.texts import as_intervals, as_list


@dataclass(frozen=True, slots=True)
class Away:
    """``id`` says which; ``form`` by the clinic's clock."""

    id: int
    form: AwayForm


@dataclass(frozen=True, slots=True)
class Filled:
    """A thing as a form; ``version``: what a change of it must name. ``away``: of units and staff, by start."""

    form: ThingForm
    version: int
    is_retired: bool
    away: tuple[Away, ...]


@dataclass(frozen=True, slots=True)
class FilledSetUp:
    """All that is set up. ``version``: of the clinic's figures, opening hours and closures, which share one.

    Of each kind those in use come first, the oldest of them first, and the retired ones last.
    """

    clinic: ClinicForm
    opening: OpeningForm
    closures: tuple[ClosureForm, ...]
    version: int
    places: tuple[Filled, ...]
    units: tuple[Filled, ...]
    applicators: tuple[Filled, ...]
    staff: tuple[Filled, ...]


def filled_set_up(store: Store) -> FilledSetUp:
    with store.reading() as session:
        set_up = set_up_of(session, the_clinic(session))
    return FilledSetUp(
        clinic=clinic_form(set_up),
        opening=opening_form(set_up),
        closures=tuple(ClosureForm(date=f"{date}", reason=reason) for date, reason in set_up.closures.items()),
        version=set_up.version,
        places=_filled(set_up, "place"),
        units=_filled(set_up, "unit"),
        applicators=_filled(set_up, "applicator"),
        staff=_filled(set_up, "staff"),
    )


def _filled(set_up: SetUp, kind: Kind) -> tuple[Filled, ...]:
    zone = ZoneInfo(set_up.time_zone)
    return tuple(
        Filled(
            thing_form(set_up, kind, thing),
            thing.version,
            thing.is_retired,
            tuple(Away(span.id, away_form(span, zone)) for span in set_up.away.get((kind, thing.id), ())),
        )
        for thing in sorted(set_up.things[kind], key=lambda thing: thing.is_retired)
    )


def clinic_form(set_up: SetUp) -> ClinicForm:
    keys = ("name", "time_zone", "step_min", "move_min", "bay_turnover_min", "what_to_bring")
    figures = {key: str(set_up.clinic[key]) for key in keys}
    return ClinicForm(**figures, aims=as_list(set_up.clinic["aims"]))


def opening_form(set_up: SetUp) -> OpeningForm:
    spans = (set_up.opening.get(weekday) for weekday in range(len(WEEKDAYS)))
    return OpeningForm(hours=tuple("" if span is None else as_intervals([span]) for span in spans))


def thing_form(set_up: SetUp, kind: Kind, thing: Thing) -> ThingForm:
    document = thing.document
    named = {"code": thing.code, "name": document["name"]}
    match kind:
        case "place":
            return PlaceForm(**named, bays=as_list(document["bays"]), tags=as_list(document["tags"]))
        case "applicator":
            lists = {"items": as_list(document["items"]), "fits": as_list(document.get("fits", ()))}
            return ApplicatorForm(**named, **lists, turnaround_min=str(document["turnaround_min"]))
        case "staff":
            return _member(set_up, thing)
        case "unit":
            battery = document["battery"]
            figures = {} if battery is None else {key: str(value) for key, value in battery.items() if key != "draw_w"}
            draw = {} if battery is None else battery["draw_w"]
            return UnitForm(
                **named,
                patients_at_once=str(document["patients_at_once"]),
                places=as_list(document["places"]),
                channel_id=tuple(channel["id"] for channel in document["channels"]),
                channel_drives=tuple(as_list(channel["drives"]) for channel in document["channels"]),
                on_mains="yes" if battery is None else "",
                draw_w=as_list(f"{output} {watts}" for output, watts in draw.items()),
                **figures,
            )


def _member(set_up: SetUp, thing: Thing) -> MemberForm:
    document, weekdays = thing.document, range(len(WEEKDAYS))
    return MemberForm(
        code=thing.code,
        name=document["name"],
        kind=document["kind"],
        skills=as_list(document["skills"]),
        watch_free=str(document["watch_free"]),
        watch_busy=str(document["watch_busy"]),
        hours=tuple(as_intervals(set_up.hours.get((thing.id, weekday), ())) for weekday in weekdays),
        breaks=tuple(
            ", ".join(
                f"{due.minutes} in {as_intervals([due.between])}" for due in set_up.breaks.get((thing.id, weekday), ())
            )
            for weekday in weekdays
        ),
    )


def away_form(span: Span, zone: ZoneInfo) -> AwayForm:
    starts, ends = span.starts_at.astimezone(zone), span.ends_at.astimezone(zone)
    return AwayForm(
        from_date=f"{starts:%Y-%m-%d}",
        from_time=f"{starts:%H:%M}",
        to_date=f"{ends:%Y-%m-%d}",
        to_time=f"{ends:%H:%M}",
        note=span.note,
    )
