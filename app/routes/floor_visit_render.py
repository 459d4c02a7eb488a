"""From a visit as it stands to what its page on the Floor reads."""

import datetime
from collections.abc import Iterator

from app.routes.floor_buttons import visit_buttons
from app.routes.floor_render import countdown_of, local_time, press_lines
from app.services.floor.prescribed import Prescribed
from app.services.floor.reading import Reading
from app.services.floor.state import PartRun
from app.views.cautions import questions
from app.views.dates import spoken
from app.views.floor_visit import (
    SCREENING_WORDS,
    DecisionView,
    FloorVisitView,
    HandsOf,
    Note,
    PartView,
    phase_lines,
    prescribed_lines,
)
from app.views.floor_words import phase_words, said_words
from app.views.words import counted, listed, short_name

Moment = datetime.datetime


def floor_visit_view(
    reading: Reading, prescribed: Prescribed, id: int, now: Moment, *, may_press: bool
) -> FloorVisitView:
    code = prescribed.code
    visit, run = reading.day.visit_by_id[code], reading.state.visit(code)
    decided = run.decision
    outputs = tuple(dict.fromkeys(output for part in visit.parts for output in part.channels))
    floor = f"/floor/{reading.date.isoformat()}"
    return FloorVisitView(
        id=id,
        address=f"{floor}/visit/{id}",
        floor=floor,
        patient=visit.patient,
        initials=short_name(visit.patient),
        treatment=_treatment(prescribed),
        prescribed=_by(prescribed),
        screening=SCREENING_WORDS[prescribed.screening],
        is_there=reading.is_there(code),
        is_open=not reading.is_over(code),
        parts=tuple(_parts(reading, prescribed, now)),
        decision=None
        if decided is None
        else DecisionView(
            decided.go,
            f"{local_time(reading, decided.at)}, {decided.by}: {'go ahead' if decided.go else 'not now'}"
            f"{f' ({decided.note})' if decided.note else ''}, recorded by {decided.actor}",
            decided.answers,
        ),
        questions=questions(outputs),
        buttons=tuple(visit_buttons(reading, code)),
        presses=press_lines(reading, code),
        staff=tuple((member.id, member.name) for member in reading.day.staff),
        now=int(now.timestamp() * 1000),
        may_press=may_press,
    )


def _treatment(prescribed: Prescribed) -> str:
    site = f", {prescribed.body_site}" if prescribed.body_site else ""
    return f"{prescribed.treatment}{site}"


def _by(prescribed: Prescribed) -> str:
    said = [f"version {prescribed.version} of the treatment, which it was booked with"]
    if prescribed.prescribed_by:
        on = f" on {spoken(prescribed.prescribed_on)}" if prescribed.prescribed_on else ""
        said.append(f"prescribed by {prescribed.prescribed_by}{on}")
    if prescribed.note:
        said.append(prescribed.note)
    return "; ".join(said)


def _parts(reading: Reading, prescribed: Prescribed, now: Moment) -> Iterator[PartView]:
    code = prescribed.code
    visit, run = reading.day.visit_by_id[code], reading.state.visit(code)
    for number, (part, document) in enumerate(zip(visit.parts, prescribed.parts, strict=True)):
        here = run.parts.get(number)
        first = 0 if here is None else here.phase
        ahead = range(first, len(part.phases)) if here is None or here.over is None else ()
        state, says = _state(reading, here, now, len(part.phases))
        yield PartView(
            number=number,
            title=f"Part {number + 1}: {listed(part.channels)}",
            lines=tuple(prescribed_lines(document)),
            phases=phase_lines(part),
            state=state,
            says=says,
            countdown=None if here is None or here.over else countdown_of(reading, now, code, number),
            notes=tuple(
                Note(
                    local_time(reading, said.at),
                    said_words(said.kind, said.when, said.text),
                    said.actor,
                )
                for said in run.said.get(number, ())
            ),
            hands=tuple(
                HandsOf(phase, phase_words(part.phases[phase]), reading.hands(code, number, phase) or "")
                for phase in ahead
                if part.phases[phase].hands != "nobody"
            ),
        )


def _state(reading: Reading, here: PartRun | None, now: Moment, phases: int) -> tuple[str, str]:
    if here is None:
        return "coming", "not started"
    if here.over is None:
        words = f"phase {here.phase + 1} of {phases}, started at {local_time(reading, here.started)} by {here.actor}"
        return ("paused", f"paused in {words}") if here.paused else ("running", words)
    lasted = counted(round((here.over - here.started).total_seconds() / 60), "minute")
    why = f": {here.reason}" if here.reason else ""
    word = "stopped" if here.how == "stopped" else "ended"
    return ("stopped" if here.how == "stopped" else "over"), (
        f"{word} at {local_time(reading, here.over)} after {lasted}{why}"
    )
