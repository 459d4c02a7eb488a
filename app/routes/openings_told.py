"""What the Openings page tells: why not, what would have to move, who took what, and the start that was chosen."""

import datetime
from collections.abc import Sequence
from dataclasses import replace

from app.clock import minute_of
from app.routes.openings_asked import AskedPage
from app.routes.openings_offers import booking_fields, lengths_of, offer
from app.routes.upkeep_due import due_lines
from app.services.day_room import named_day
from app.services.openings.asking import Asked
from app.services.openings.blocked import InTheWay, who_took_it, why_not
from app.services.openings.booking import Refused
from app.services.openings.making_room import WouldMove, make_room
from app.services.openings.pairs import search_pairs
from app.services.openings.search import Opening, opening_at
from app.services.placing import with_placed
from app.typed import date_of
from app.views.cautions import UNATTENDED, questions
from app.views.dates import spoken
from app.views.openings import ChosenView, MoveLine, OfferLine, ReasonLine, RoomView, WhyView
from app.views.openings_drawn import drawn
from app.views.openings_words import reason_line, short_date, therapist_of, times_of, where_of
from app.views.parts import Planned
from app.views.upkeep import DueLine
from app.views.words import counted, length
from solver.clock import clock, parse_clock
from solver.opening_moves import Spot
from solver.problem import Day
from solver.schedule import PlacedVisit

_NOTHING = {
    "closed": "The clinic is closed then.",
    "unplanned": "The visits of that day are not planned yet: plan it first.",
}


def why_view(page: AskedPage, asked: Asked) -> WhyView | None:
    """Why the visit cannot start as wished; None where that is not asked."""
    start, date = parse_clock(page.ask.why), date_of(page.ask.why_date) or page.limits.first
    if start is None:
        return None
    answer = why_not(page.parts.ready, asked, date, start, clock=page.parts.clock)
    day = page.day_of(date).day
    when = f"{short_date(date)} at {clock(start)}"
    if answer.past:
        said = f"{when} is past."
    elif answer.fits:
        said = f"{when} is free."
    elif not answer.reasons:
        said = _NOTHING.get(answer.state, f"Nothing can be booked on {short_date(date)}.")
    else:
        said = f"{when} cannot be had: {answer.clocks}".rstrip()
    fits = answer.fits and not answer.past
    return WhyView(
        said=said,
        fits=fits,
        choose=page.ask.address(date=date.isoformat(), at=clock(start), why="", why_date="") if fits else "",
        reasons=() if day is None or fits else reason_lines(answer.reasons, day),
        nearest=() if fits else tuple(offer(page, asked, one) for one in answer.nearest),
        room=""
        if fits or not answer.reasons or page.move
        else page.ask.address(room=date.isoformat(), why_date=date.isoformat()),
    )


def reason_lines(reasons: Sequence[InTheWay], day: Day) -> tuple[ReasonLine, ...]:
    return tuple(
        reason_line(
            one.rule,
            one.resource,
            (one.start, one.end),
            [(holder.patient, holder.actor) for holder in one.holders],
            one.text,
            day,
        )
        for one in reasons
    )


def taken_lines(page: AskedPage, refused: Refused) -> tuple[ReasonLine, ...]:
    """Who took what since the desk looked."""
    day = page.parts.ready.on(refused.date).day
    return () if day is None else reason_lines(who_took_it(page.parts.ready, refused), day)


def nearest_offers(page: AskedPage, refused: Refused) -> tuple[OfferLine, ...]:
    """What can be had nearest to the start that was refused, on its date; for one visit only."""
    if len(refused.asked) != 1:
        return ()
    (asked,) = refused.asked
    start = refused.placed[asked.visit.id].parts[0].start
    answer = why_not(page.parts.ready, page.asked or asked, refused.date, start, clock=page.parts.clock)
    return tuple(offer(page, asked, one) for one in answer.nearest)


def room_view(page: AskedPage, asked: Asked) -> RoomView | None:
    """What would have to move on the date that is asked about; None where none is."""
    date = date_of(page.ask.room)
    if date is None or page.move is not None:
        return None
    start = parse_clock(page.ask.why) if page.ask.why_date == page.ask.room else None
    when = short_date(date) + (f" at {clock(start)}" if start is not None else "")
    room = make_room(page.parts.ready, asked, date, clock=page.parts.clock, start=start)
    day = page.day_of(date).day
    if room is None or day is None or room.placed is None:
        proved = " that is proved." if room is not None and room.complete else " none was found in the time there is."
        said = f"No one or two moves would open {when}:{proved}"
        return RoomView(said=said, offer=None, moves=(), hidden=())
    opening = Opening(date, room.version, room.placed, True)
    called = sum(one.told for one in room.moves)
    said = f"On {when} it would fit if {counted(len(room.moves), 'visit')} moved"
    said += f"; {counted(called, 'patient')} would have to be called." if called else "; nobody was told of it yet."
    if not room.moves:
        said = f"On {when} it fits as it is."
    return RoomView(
        said=said,
        offer=offer(page, asked, opening),
        moves=tuple(_move_line(one, day) for one in room.moves),
        hidden=booking_fields(page, date, room.version, [room.placed], [one.placed for one in room.moves]),
    )


def _move_line(move: WouldMove, day: Day) -> MoveLine:
    said = f"{length(abs(move.minutes))} {'later' if move.minutes > 0 else 'earlier'}" if move.minutes else "same start"
    return MoveLine(
        patient=move.patient,
        before=_spot(move.before, day),
        after=_spot(move.after, day),
        said=said,
        told=move.told,
    )


def _spot(spot: Spot, day: Day) -> str:
    with_whom = f" with {day.staff_by_id[spot.therapist].name}" if spot.therapist is not None else ""
    return f"{clock(spot.start)} on {day.unit_by_id[spot.unit].name}, bay {spot.bay}{with_whom}"


def chosen_view(page: AskedPage) -> ChosenView | None:
    """The start that was chosen, drawn in its day; None where none is, or where it is no opening any more."""
    asked, date, start = page.asked, date_of(page.ask.date), parse_clock(page.ask.at)
    if asked is None or date is None or start is None or page.patient is None:
        return None
    second = page.second_asked if page.second is not None else None
    if second is not None:
        from_pairs = _pair_at(page, asked, second, date, start)
        return None if from_pairs is None else _chosen(page, [asked, second], date, *from_pairs)
    opening = opening_at(page.parts.ready, asked, date, start, clock=page.parts.clock)
    return None if opening is None else _chosen(page, [asked], date, opening.version, [opening.placed])


def _pair_at(
    page: AskedPage, first: Asked, second: Asked, date: datetime.date, start: int
) -> tuple[int, list[PlacedVisit]] | None:
    narrow = replace(first, limits=replace(first.limits, first=date, last=date, wish=start))
    found = search_pairs(page.parts.ready, narrow, second, same_unit=bool(page.ask.same_unit), clock=page.parts.clock)
    pair = next((one for one in found.pairs if one.start == start), None)
    return None if pair is None else (pair.version, [pair.first, pair.second])


def _chosen(
    page: AskedPage, asked: Sequence[Asked], date: datetime.date, version: int, placed: Sequence[PlacedVisit]
) -> ChosenView:
    ready = page.day_of(date)
    assert ready.day is not None
    assert ready.plan is not None
    visits = [replace(one.visit, id=where.id) for one, where in zip(asked, placed, strict=True)]
    day, plan = with_placed(ready.day, ready.plan, visits, {one.id: one for one in placed}, ())
    planned = Planned(named_day(page.parts.store, day), plan)
    now = minute_of(page.parts.clock, date)
    state = "planned" if ready.version else "unbooked"
    parts = [part for one in asked for part in one.visit.parts]
    names = " and ".join(one.name for one in (page.patient, page.second) if one is not None)
    hidden = booking_fields(page, date, version, placed)
    return ChosenView(
        title=f"{names}: {spoken(date)}, {times_of(placed[0], lengths_of(asked[0]))}",
        lines=tuple(_line(day, one) for one in placed),
        action="/openings/book" if page.move is None else "/openings/move",
        button="Book it" if page.move is None else "Move it here",
        hidden=hidden,
        drawn=drawn(planned, state, version, [one.id for one in placed], now),
        questions=questions(tuple(dict.fromkeys(output for part in parts for output in part.channels))),
        asks=page.move is None,
        bell=UNATTENDED if any(phase.unattended for part in parts for phase in part.phases) else "",
        back=page.ask.address(date="", at=""),
        upkeep=_overdue(page, date, {part.unit for one in placed for part in one.parts}),
    )


def _overdue(page: AskedPage, date: datetime.date, units: set[str]) -> tuple[DueLine, ...]:
    return tuple(line for line in due_lines(page.parts.store, date) if line.overdue and line.unit in units)


def _line(day: Day, placed: PlacedVisit) -> str:
    therapist = therapist_of(day, placed)
    return where_of(day, placed) + (f", with {therapist}" if therapist else "")
