"""A start as the Openings page offers it, with what a form sends to book it."""

import datetime
from collections.abc import Sequence

from app.routes.openings_asked import AskedPage
from app.services.openings.asking import Asked
from app.services.openings.pairs import PairOpening
from app.services.openings.search import Opening
from app.services.openings.written import written
from app.views.openings import OfferLine
from app.views.openings_words import notes_of, short_date, therapist_of, times_of, waits_of, where_of
from solver.clock import clock
from solver.schedule import PlacedVisit


def offer(page: AskedPage, asked: Asked, opening: Opening, *, book: bool = False, title: str = "") -> OfferLine:
    """``book``: with what to send to book it at once."""
    day = page.day_of(opening.date).day
    assert day is not None
    limits = asked.limits
    wished = next((member.name for member in day.staff if member.id == limits.therapist_wish), "")
    at = clock(opening.start)
    return OfferLine(
        date=short_date(opening.date),
        times=times_of(opening.placed, lengths_of(asked)),
        where=where_of(day, opening.placed),
        therapist=therapist_of(day, opening.placed),
        notes=notes_of(opening.start, limits.wish, opening.wished, wished, waits_of(opening.placed, lengths_of(asked))),
        choose=page.ask.address(date=opening.date.isoformat(), at=at),
        title=title,
        book=booking_fields(page, opening.date, opening.version, [opening.placed]) if book else (),
    )


def pair_offer(page: AskedPage, asked: Asked, pair: PairOpening) -> OfferLine:
    day = page.day_of(pair.date).day
    assert day is not None
    places = dict.fromkeys((where_of(day, pair.first), where_of(day, pair.second)))
    hands = dict.fromkeys(name for one in (pair.first, pair.second) if (name := therapist_of(day, one)))
    return OfferLine(
        date=short_date(pair.date),
        times=times_of(pair.first, lengths_of(asked)),
        where="; ".join(places),
        therapist=", ".join(hands),
        notes="",
        choose=page.ask.address(date=pair.date.isoformat(), at=clock(pair.start)),
    )


def booking_fields(
    page: AskedPage,
    date: datetime.date,
    read: int,
    placed: Sequence[PlacedVisit],
    moved: Sequence[PlacedVisit] = (),
) -> tuple[tuple[str, str], ...]:
    """What a form sends to book this."""
    sent = {
        "ask": page.ask.query(date="", at="", why="", why_date="", room="", waiting=page.waiting),
        "date": date.isoformat(),
        "read": str(read),
        "placed": written(placed),
        "moved": written(moved) if moved else "",
        "versions": versions_of(page),
    }
    return tuple((name, value) for name, value in sent.items() if value)


def versions_of(page: AskedPage) -> str:
    """Which versions of treatments the page asks for."""
    asked = (page.asked, page.second_asked if page.second is not None else None)
    return " ".join(str(one.booked_with.treatment_version_id) for one in asked if one is not None)


def lengths_of(asked: Asked) -> dict[str, int]:
    return {part.id: part.minutes for part in asked.visit.parts}
