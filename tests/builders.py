"""Named builders of small days and plans, so that a test reads as a sentence. Nothing here is a real clinic.

Times are ``"09:30"`` or whole minutes from midnight; intervals are ``"09:00-12:00"``. What fits together by default:

* ``a_day(a_visit(...), ...)``: open 09:00–12:00, a step of 1 minute, the unit ``U1``, the place ``front``, the
  therapist ``T1``, every applicator pool that the visits ask for (``a_pool``), nothing to move, clean or turn over.
* ``a_unit()``: ``U1`` on mains with the channels ``u1`` (ultrasound), ``s1`` and ``s2`` (pads, cups), for two patients.
* ``a_place()``: ``front`` with the bays ``F1`` and ``F2``. ``a_therapist()``: ``T1``; ``an_assistant()``: ``A1``; both
  there all day and with plenty of watch (``watch_busy`` is ``watch_free`` unless given).
* ``a_visit(a_part(hands_on(5), unattended(10)))``: the visit ``V1`` with the part ``p1`` on one pads channel. Parts
  without an id are named ``p1``, ``p2`` … in their order; a visit's patient is its own unless named.
* ``placed(visit, "09:30")``: the visit's parts one right after the other, on ``U1`` at ``front`` in ``F1``, on the
  first channels and items of the names above, in the hands of ``T1``. Give one time per part, or a ``placed_part``
  per part, for anything else.
* ``a_plan(day, placed(...), ...)``: feasible, every other visit left out, with right scores and bounds of zero.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date

from solver.clinic import Applicator, Battery, Break, Channel, Place, StaffMember, Unit
from solver.clock import Interval, parse_clock
from solver.names import AIMS, AimName, Hands, PlanStatus, RuleName
from solver.problem import Day
from solver.schedule import Clash, LeftOut, PlacedBreak, PlacedPart, PlacedVisit, Plan, Reason
from solver.verify.scores import scores_of
from solver.visits import Fixed, FixedPart, Part, Phase, Visit

Time = str | int
Span = str | Interval

A_DATE = date(2031, 3, 4)


def at(time: Time) -> int:
    """``"09:30"`` → 570; whole minutes stay as they are."""
    if isinstance(time, int):
        return time
    minutes = parse_clock(time)
    assert minutes is not None, f"{time!r} is no time"
    return minutes


def span(interval: Span) -> Interval:
    """``"09:00-12:00"`` → Interval(540, 720)."""
    if isinstance(interval, Interval):
        return interval
    start, end = interval.split("-")
    return Interval(at(start), at(end))


def _spans(intervals: Span | Sequence[Span] | None) -> tuple[Interval, ...] | None:
    if intervals is None:
        return None
    if isinstance(intervals, str | Interval):
        return (span(intervals),)
    return tuple(span(interval) for interval in intervals)


# The clinic


def a_channel(id: str = "s1", *drives: str) -> Channel:
    return Channel(id=id, drives=drives or ("pads", "cups"))


def a_battery(
    *,
    capacity_wh: int = 10,
    start_pct: int = 100,
    reserve_pct: int = 0,
    standby_w: int = 0,
    draw_w: Mapping[str, int] | None = None,
    pump_w: int = 0,
    charge_w: int = 0,
    min_charge_min: int = 15,
) -> Battery:
    """A full battery of 600 watt-minutes that nothing charges; a running channel draws 10 W."""
    return Battery(
        capacity_wh=capacity_wh,
        start_pct=start_pct,
        reserve_pct=reserve_pct,
        standby_w=standby_w,
        draw_w=draw_w if draw_w is not None else {"ultrasound": 10, "pads": 10, "cups": 10},
        pump_w=pump_w,
        charge_w=charge_w,
        min_charge_min=min_charge_min,
    )


def a_unit(
    id: str = "U1",
    *,
    channels: Sequence[Channel] | None = None,
    patients_at_once: int = 2,
    places: Sequence[str] = ("front",),
    hours: Span | Sequence[Span] | None = None,
    battery: Battery | None = None,
    name: str = "",
) -> Unit:
    default = (a_channel("u1", "ultrasound"), a_channel("s1"), a_channel("s2"))
    return Unit(
        id=id,
        name=name,
        channels=tuple(channels) if channels is not None else default,
        patients_at_once=patients_at_once,
        places=tuple(places),
        hours=_spans(hours),
        battery=battery,
    )


def a_place(
    id: str = "front", bays: Sequence[str] = ("F1", "F2"), *, tags: Sequence[str] = (), name: str = ""
) -> Place:
    return Place(id=id, name=name, bays=tuple(bays), tags=tuple(tags))


def an_applicator(
    id: str = "pad-sets",
    items: Sequence[str] | int = 2,
    *,
    turnaround_min: int = 0,
    fits: Sequence[str] | None = None,
    name: str = "",
) -> Applicator:
    """A pool; a number of items makes ``<id>-1``, ``<id>-2`` …"""
    named = tuple(f"{id}-{n + 1}" for n in range(items)) if isinstance(items, int) else tuple(items)
    return Applicator(
        id=id, name=name, items=named, turnaround_min=turnaround_min, fits=None if fits is None else tuple(fits)
    )


def a_break(minutes: int = 15, between: Span = "10:00-11:00") -> Break:
    return Break(minutes=minutes, between=span(between))


def a_therapist(
    id: str = "T1",
    *,
    skills: Sequence[str] = (),
    hours: Span | Sequence[Span] = "00:00-24:00",
    breaks: Sequence[Break] = (),
    watch_free: int = 9,
    watch_busy: int | None = None,
    name: str = "",
) -> StaffMember:
    return StaffMember(
        id=id,
        name=name,
        kind="therapist",
        skills=tuple(skills),
        hours=_spans(hours) or (),
        breaks=tuple(breaks),
        watch_free=watch_free,
        watch_busy=watch_free if watch_busy is None else watch_busy,
    )


def an_assistant(
    id: str = "A1",
    *,
    hours: Span | Sequence[Span] = "00:00-24:00",
    breaks: Sequence[Break] = (),
    watch_free: int = 9,
    watch_busy: int | None = None,
    name: str = "",
) -> StaffMember:
    member = a_therapist(id, hours=hours, breaks=breaks, watch_free=watch_free, watch_busy=watch_busy, name=name)
    return replace(member, kind="assistant")


# The visits


def hands_on(minutes: int, hands: Hands = "therapist") -> Phase:
    """A running phase in somebody's hands."""
    return Phase(minutes=minutes, hands=hands, running=True)


def unattended(minutes: int) -> Phase:
    """A running phase with nobody's hands on it, which must be watched."""
    return Phase(minutes=minutes, hands="nobody", running=True)


def set_up(minutes: int, hands: Hands = "therapist") -> Phase:
    """A phase in a therapist's hands in which nothing runs."""
    return Phase(minutes=minutes, hands=hands, running=False)


def tidy_up(minutes: int) -> Phase:
    """A phase in anyone's hands in which nothing runs."""
    return Phase(minutes=minutes, hands="anyone", running=False)


def still(minutes: int) -> Phase:
    """A phase in which nothing runs and nobody is needed."""
    return Phase(minutes=minutes, hands="nobody", running=False)


def a_part(
    *phases: Phase,
    id: str = "",
    channels: Mapping[str, int] | None = None,
    applicators: Mapping[str, int] | None = None,
    suction_kpa: int | None = None,
    skill: str | None = None,
    units: Sequence[str] | None = None,
    max_wait_min: int | None = None,
) -> Part:
    """A part of the phases given, or of 10 minutes hands-on; on one pads channel unless told otherwise."""
    return Part(
        id=id,
        phases=phases or (hands_on(10),),
        channels=channels if channels is not None else {"pads": 1},
        applicators=applicators or {},
        suction_kpa=suction_kpa,
        skill=skill,
        units=None if units is None else tuple(units),
        max_wait_min=max_wait_min,
    )


def a_visit(
    *parts: Part,
    id: str = "V1",
    patient: str = "",
    priority: int = 1,
    free: Span | Sequence[Span] | None = None,
    wish: Time | None = None,
    therapist_wish: str | None = None,
    therapist_must: str | None = None,
    place_tags: Sequence[str] = (),
    same_unit: bool = True,
    fixed: Fixed | None = None,
) -> Visit:
    named = tuple(part if part.id else replace(part, id=f"p{i + 1}") for i, part in enumerate(parts or (a_part(),)))
    return Visit(
        id=id,
        patient=patient or f"patient of {id}",
        parts=named,
        priority=priority,
        free=_spans(free),
        wish=None if wish is None else at(wish),
        therapist_wish=therapist_wish,
        therapist_must=therapist_must,
        place_tags=tuple(place_tags),
        same_unit=same_unit,
        fixed=fixed,
    )


def fixed(*parts: FixedPart, therapist: str | None = None) -> Fixed:
    return Fixed(parts=parts, therapist=therapist)


def fixed_part(
    start: Time | None = None,
    *,
    unit: str | None = None,
    place: str | None = None,
    bay: str | None = None,
    channels: Mapping[str, Sequence[str]] | None = None,
    items: Mapping[str, Sequence[str]] | None = None,
) -> FixedPart:
    return FixedPart(
        start=None if start is None else at(start),
        unit=unit,
        place=place,
        bay=bay,
        channels=None if channels is None else _named(channels),
        items=None if items is None else _named(items),
    )


# The day


def a_day(
    *visits: Visit,
    open: Time = "09:00",
    close: Time = "12:00",
    step_min: int = 1,
    move_min: int = 0,
    bay_turnover_min: int = 0,
    units: Sequence[Unit] | None = None,
    applicators: Sequence[Applicator] | None = None,
    places: Sequence[Place] | None = None,
    staff: Sequence[StaffMember] | None = None,
    published: Sequence[PlacedVisit] = (),
    aims: Sequence[AimName] = AIMS,
) -> Day:
    asked = sorted({pool for visit in visits for part in visit.parts for pool in part.applicators})
    return Day(
        date=A_DATE,
        open=at(open),
        close=at(close),
        step_min=step_min,
        move_min=move_min,
        bay_turnover_min=bay_turnover_min,
        units=tuple(units) if units is not None else (a_unit(),),
        applicators=tuple(applicators) if applicators is not None else tuple(an_applicator(id) for id in asked),
        places=tuple(places) if places is not None else (a_place(),),
        staff=tuple(staff) if staff is not None else (a_therapist(),),
        visits=visits,
        published=tuple(published),
        aims=tuple(aims),
    )


# The plan


def placed_part(
    part: Part,
    start: Time,
    *,
    unit: str = "U1",
    place: str = "front",
    bay: str = "F1",
    channels: Mapping[str, Sequence[str]] | None = None,
    items: Mapping[str, Sequence[str]] | None = None,
    hands: Sequence[str | None] | str = "T1",
) -> PlacedPart:
    """A part where it is said to be; ``hands`` is one member for every phase that needs one, or one entry a phase."""
    if isinstance(hands, str):
        hands = [None if phase.hands == "nobody" else hands for phase in part.phases]
    if items is None:
        items = {pool: [f"{pool}-{n + 1}" for n in range(count)] for pool, count in part.applicators.items()}
    return PlacedPart(
        id=part.id,
        start=at(start),
        unit=unit,
        place=place,
        bay=bay,
        channels=_named(channels) if channels is not None else _first_channels(part),
        items=_named(items),
        hands=tuple(hands),
    )


_THE_ONE_IN_HAND = "the therapist of the parts' hands"


def placed(
    visit: Visit,
    *starts_or_parts: Time | PlacedPart,
    therapist: str | None = _THE_ONE_IN_HAND,
    unit: str = "U1",
    place: str = "front",
    bay: str = "F1",
    channels: Mapping[str, Sequence[str]] | None = None,
    items: Mapping[str, Sequence[str]] | None = None,
    hands: Sequence[str | None] | str = "T1",
) -> PlacedVisit:
    """A visit at one start, with its parts one right after the other, or at one start (or placed part) a part.

    The therapist is the one whose hands are on the therapist phases, and null where there are none, unless given.
    """
    parts: list[PlacedPart] = []
    for i, part in enumerate(visit.parts):
        given = starts_or_parts[i] if i < len(starts_or_parts) else parts[-1].start + visit.parts[i - 1].minutes
        if not isinstance(given, PlacedPart):
            given = placed_part(
                part, given, unit=unit, place=place, bay=bay, channels=channels, items=items, hands=hands
            )
        parts.append(given)
    if therapist == _THE_ONE_IN_HAND:
        in_hand = (
            who
            for part, given in zip(visit.parts, parts, strict=True)
            for phase, who in zip(part.phases, given.hands, strict=True)
            if phase.hands == "therapist"
        )
        therapist = next(in_hand, None)
    return PlacedVisit(id=visit.id, therapist=therapist, parts=tuple(parts))


def with_parts(visits: Iterable[PlacedVisit], change: Callable[[PlacedPart], PlacedPart]) -> tuple[PlacedVisit, ...]:
    """The visits, each of their parts as ``change`` makes it."""
    return tuple(replace(visit, parts=tuple(change(part) for part in visit.parts)) for visit in visits)


def a_break_taken(staff: str = "T1", start: Time = "10:00", minutes: int = 15) -> PlacedBreak:
    return PlacedBreak(staff=staff, start=at(start), end=at(start) + minutes)


def left_out(id: str, rule: RuleName = "hours", text: str = "there is no room for it") -> LeftOut:
    return LeftOut(id=id, reasons=(Reason(rule=rule, text=text),))


def a_plan(
    day: Day,
    *visits: PlacedVisit,
    breaks: Sequence[PlacedBreak] = (),
    status: PlanStatus = "feasible",
    left: Sequence[LeftOut] | None = None,
    scores: Mapping[AimName, int] | None = None,
    bounds: Mapping[AimName, int] | None = None,
) -> Plan:
    """A plan of the day; ``left`` None: the visits that are not placed, each with a reason."""
    if left is None:
        present = {visit.id for visit in visits}
        left = [left_out(visit.id) for visit in day.visits if visit.id not in present]
    plan = Plan(date=day.date, status=status, visits=visits, left_out=tuple(left), breaks=tuple(breaks))
    return replace(
        plan,
        scores=scores if scores is not None else scores_of(day, plan),
        bounds=bounds if bounds is not None else dict.fromkeys(day.aims, 0),
    )


def an_infeasible_plan(day: Day, *conflict: Clash) -> Plan:
    return Plan(date=day.date, status="infeasible", conflict=conflict)


def _named(ids: Mapping[str, Sequence[str]]) -> dict[str, tuple[str, ...]]:
    return {key: tuple(values) for key, values in ids.items()}


def _first_channels(part: Part) -> dict[str, tuple[str, ...]]:
    """Channels by the names of ``a_unit``: u1, u2 … for ultrasound, s1, s2 … for every other output."""
    used = {"u": 0, "s": 0}
    named = {}
    for output, count in part.channels.items():
        letter = "u" if output == "ultrasound" else "s"
        named[output] = tuple(f"{letter}{used[letter] + n + 1}" for n in range(count))
        used[letter] += count
    return named
