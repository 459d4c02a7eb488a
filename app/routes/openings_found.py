"""What was found, as the Openings page shows it: offers in a list and as strips."""

from dataclasses import replace

from app.routes.openings_asked import AskedPage
from app.routes.openings_offers import offer, pair_offer
from app.routes.openings_told import room_view, why_view
from app.services.openings.asking import Asked
from app.services.openings.pairs import search_pairs
from app.services.openings.search import DayOpenings, search
from app.views.openings import Answers, Strip
from app.views.openings_words import short_date, strip
from app.views.words import counted

_STATES = {
    "closed": "closed",
    "unplanned": "not planned yet",
    "faulty": "what is set up makes no day",
    "planned": "nothing fits",
    "unbooked": "nothing fits",
}
_MOST_ROOM_DATES = 5
_EMPTY = Answers(said="", found=False, offers=(), pairs=False, strips=(), why=None, room=None, room_dates=(), back="")


def answers(page: AskedPage) -> Answers:
    """What is found for what is asked; no more than what is missing where too little is asked for."""
    return replace(_answers(page), faults=page.faults)


def _answers(page: AskedPage) -> Answers:
    asked = page.asked
    if page.unmovable:
        return replace(_EMPTY, said=f"It cannot be moved: {page.unmovable}.")
    if page.patient is None:
        return replace(_EMPTY, said="Choose a patient first.")
    if asked is None and page.ask.walk:
        return _walk_in(page)
    if asked is None:
        gone = "What was chosen cannot be booked any more. " if page.ask.what else ""
        return replace(_EMPTY, said=f"{gone}Choose a course or a treatment.")
    if page.second is not None:
        return _pairs(page, asked)
    all_of_it = page.ask.days == "1" and not page.ask.walk
    found = search(page.parts.ready, asked, clock=page.parts.clock, every_start=all_of_it)
    bookable = [day for day in found.days if day.asked and day.state in ("planned", "unbooked")]
    return Answers(
        said=_said(page, found.count),
        found=bool(found.count),
        offers=tuple(offer(page, asked, one, book=bool(page.ask.walk)) for one in found.best),
        pairs=False,
        strips=() if page.ask.walk else tuple(_strip(page, day) for day in found.days),
        why=why_view(page, asked),
        room=room_view(page, asked),
        room_dates=()
        if found.count or page.move is not None
        else tuple(
            (short_date(day.date), page.ask.address(room=day.date.isoformat())) for day in bookable[:_MOST_ROOM_DATES]
        ),
        back=page.ask.address(first="", days="", date="", at="") if all_of_it else "",
    )


def _said(page: AskedPage, count: int) -> str:
    within = "within the next half hour" if page.ask.walk else f"in {counted(page.ask.length, 'day')}"
    return f"{counted(count, 'start')} {within}" if count else f"Nothing fits {within}"


def _walk_in(page: AskedPage) -> Answers:
    """For each course and treatment the first start within the next half hour."""
    lines = []
    for one in page.bookable:
        there = AskedPage(page.request, replace(page.ask, what=one.key))
        if there.asked is not None:
            best = search(page.parts.ready, there.asked, clock=page.parts.clock).best[:1]
            lines += [offer(there, there.asked, opening, book=True, title=one.name) for opening in best]
    said = f"{counted(len(lines), 'treatment') if lines else 'No treatment'} can start within the next half hour"
    return replace(_EMPTY, said=said, found=bool(lines), offers=tuple(lines))


def _pairs(page: AskedPage, asked: Asked) -> Answers:
    second = page.second_asked
    if second is None:
        return replace(_EMPTY, said="Choose what the second patient gets.")
    same = bool(page.ask.same_unit)
    found = search_pairs(page.parts.ready, asked, second, same_unit=same, clock=page.parts.clock)
    until = f", looked at until {short_date(found.looked_until)}" if found.looked_until is not None else ""
    until += "" if found.is_all else "; the time was over before all was tried"
    lines = tuple(pair_offer(page, asked, pair) for pair in found.pairs)
    nothing = "Nothing fits both at once" if found.is_all else "Nothing found for both at once"
    said = f"{counted(len(lines), 'start')} for both at once{until}" if lines else f"{nothing}{until}"
    return replace(_EMPTY, said=said, found=bool(lines), offers=lines, pairs=True)


def _strip(page: AskedPage, day: DayOpenings) -> Strip:
    said = _STATES[day.state] if day.asked else "not asked for"
    if day.date == page.today and said == "nothing fits":
        said = "nothing more today"
    address = page.ask.address(first=day.date.isoformat(), days="1", date="", at="")
    return strip(day.date, (day.open, day.close), day.starts, said, address, page.ask.date == day.date.isoformat())
