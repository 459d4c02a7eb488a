"""The Openings page: what its templates read."""

from dataclasses import dataclass

from app.views.cautions import Questions
from app.views.forms import Option
from app.views.openings_ask import Ask
from app.views.openings_drawn import Drawn
from app.views.upkeep import DueLine


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferLine:
    """A start in the list. ``choose``: the address that draws it. ``notes``: how it differs from what was wished.

    ``book``: what to send to book it at once, where that is offered.
    """

    date: str
    times: str
    where: str
    therapist: str
    notes: str
    choose: str
    title: str = ""
    book: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A date with its starts as ticks: an SVG path in minutes after opening, ``minutes`` wide and 10 high.

    ``text`` says the same in words; ``address``: of the page for this date alone, empty where nothing can be had.
    """

    date: str
    text: str
    minutes: int
    path: str
    address: str
    is_chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ReasonLine:
    rule: str
    what: str
    until: str
    holders: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WhyView:
    """``said``: in a sentence; ``fits``: the start is an opening, ``choose`` its address."""

    said: str
    fits: bool
    choose: str
    reasons: tuple[ReasonLine, ...]
    nearest: tuple[OfferLine, ...]
    room: str


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveLine:
    patient: str
    before: str
    after: str
    said: str
    told: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomView:
    """What would have to move. ``hidden``: what to send to accept it; empty where nothing was found."""

    said: str
    offer: OfferLine | None
    moves: tuple[MoveLine, ...]
    hidden: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenView:
    """The start that was chosen, drawn in its day. ``action`` and ``hidden``: where and what to send to book it.
    ``asks``: whether the clinician's answer to the questions goes with it. ``upkeep``: what is overdue of its units."""

    title: str
    lines: tuple[str, ...]
    action: str
    button: str
    hidden: tuple[tuple[str, str], ...]
    drawn: Drawn
    questions: tuple[Questions, ...]
    asks: bool
    bell: str
    back: str
    upkeep: tuple[DueLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """All that changes as one types. ``said``: how many starts there are, or what is missing; ``faults``: what of what
    was typed cannot be held to.

    ``room_dates``: where nothing fits, dates on which it can be asked what would have to move.
    """

    said: str
    found: bool
    offers: tuple[OfferLine, ...]
    pairs: bool
    strips: tuple[Strip, ...]
    why: WhyView | None
    room: RoomView | None
    room_dates: tuple[tuple[str, str], ...]
    back: str
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ComingLine:
    text: str
    move: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PatientView:
    """A patient who was chosen. ``coming``: booked visits, each with the address at which it is moved."""

    name: str
    code: str
    change: str
    coming: tuple[ComingLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupOfOptions:
    label: str
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AskView:
    """The form. ``whats`` and ``second_whats``: courses and treatments, grouped; ``prescribed``: what a course asks for
    and holds where a field is left empty; ``whole_course``: the address of all its sessions. ``waits``: the patient is
    on the waiting list, and came from there; ``waited_hours``: when they can come, where those are several times.
    ``is_limited``: some limit is filled in. ``moving``: which visit is moved; empty where one is booked."""

    ask: Ask
    query: str
    patient: PatientView | None
    second: PatientView | None
    whats: tuple[GroupOfOptions, ...]
    second_whats: tuple[GroupOfOptions, ...]
    first: str
    days: tuple[Option, ...]
    weekdays: tuple[Option, ...]
    therapists: tuple[Option, ...]
    tags: tuple[Option, ...]
    prescribed: str
    whole_course: str
    waits: bool
    waited_hours: str
    is_limited: bool
    moving: str
    may_book: bool
    walk: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What has just been done, or why not. ``undo``: what to send to undo it. ``taken``: who took what; ``nearest``:
    what can be had instead on that date."""

    title: str
    lines: tuple[str, ...]
    undo: tuple[tuple[str, str], ...] = ()
    undo_action: str = ""
    taken: tuple[ReasonLine, ...] = ()
    nearest: tuple[OfferLine, ...] = ()
    is_trouble: bool = False
