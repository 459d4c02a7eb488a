"""Changes of when somebody is absent, or a unit is out of service."""

import datetime
from dataclasses import dataclass
from typing import Literal
from zoneinfo import ZoneInfo

from app.clock import instant_of
from app.queries.set_up_reading import Span, Thing
from app.queries.set_up_writing import put_span, remove_span
from app.services.setup.filled import away_form
from app.services.setup.forms import AwayForm
from app.services.setup.texts import time
from app.services.setup.wording import text_faults
from app.services.setup.work import Made, Work, differing
from solver.errors import Fault, InputError, refuse_if
from solver.reading.faults import Faults
from solver.reading.kinds import CLOCK, DATE, read_or

AwayKind = Literal["unit", "staff"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SaveAway:
    """``kind`` and ``code``: whose it is, ``read``: its version. ``id`` None: another one; else that one is changed."""

    kind: AwayKind
    code: str
    form: AwayForm
    read: int
    id: int | None = None

    def make(self, work: Work) -> Made:
        thing = work.thing(self.kind, self.code, self.read)
        known = None if self.id is None else _span(work, thing, self.kind, self.id)
        refuse_if(text_faults("note", self.form.note))
        starts_at, ends_at = _instants(self.form, ZoneInfo(work.set_up.time_zone))
        id = put_span(work.session, self.kind, thing.id, self.id, starts_at, ends_at, self.form.note.strip())
        new = Span(id, starts_at, ends_at, self.form.note.strip())
        return _numbered(work, thing, self.kind, known, new)


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveAway:
    kind: AwayKind
    code: str
    id: int
    read: int

    def make(self, work: Work) -> Made:
        thing = work.thing(self.kind, self.code, self.read)
        known = _span(work, thing, self.kind, self.id)
        remove_span(work.session, self.kind, self.id)
        return _numbered(work, thing, self.kind, known, None)


def _span(work: Work, thing: Thing, kind: AwayKind, id: int) -> Span:
    spans = work.set_up.away.get((kind, thing.id), ())
    found = next((span for span in spans if span.id == id), None)
    if found is None:
        raise InputError([Fault("id", f"{kind} {thing.code} has no such time", "read the page again")])
    return found


def _instants(form: AwayForm, zone: ZoneInfo) -> tuple[datetime.datetime, datetime.datetime]:
    found = Faults()
    dates = [read_or(found, f"{end}_date", DATE, getattr(form, f"{end}_date").strip(), None) for end in ("from", "to")]
    minutes = [read_or(found, f"{end}_time", CLOCK, time(getattr(form, f"{end}_time")), None) for end in ("from", "to")]
    found.refuse_if_any()
    starts_at, ends_at = (
        instant_of(date, minute, zone)
        for date, minute in zip(dates, minutes, strict=True)
        if date is not None and minute is not None
    )
    if ends_at <= starts_at:
        raise InputError([Fault("to_time", "it ends no later than it starts", "give an end after the start")])
    return starts_at, ends_at


def _numbered(work: Work, thing: Thing, kind: AwayKind, old: Span | None, new: Span | None) -> Made:
    """The audit says when, and not why: a note may be private."""
    word = "absent" if kind == "staff" else "out of service"
    was, now = (_values(work, word, span) for span in (old, new))
    made = differing(f"{kind} {thing.code}", "changed", 0, was, now)
    version = thing.version
    if not made.is_nothing or (old is not None and new is not None and old.note != new.note):
        version = work.next_version(kind, thing.id).set_up_version
        made = differing(f"{kind} {thing.code}", "changed", version, was, now)
    return made


def _values(work: Work, word: str, span: Span | None) -> dict[str, str]:
    if span is None:
        return {}
    form = away_form(span, ZoneInfo(work.set_up.time_zone))
    return {f"{word} {span.id}": f"{form.from_date} {form.from_time} to {form.to_date} {form.to_time}"}
