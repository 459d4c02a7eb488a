"""What can be pressed on the board, for a visit as it stands."""

import uuid
from collections.abc import Iterator

from app.services.floor.reading import Reading
from app.services.floor.state import VisitRun
from app.views.floor import Button
from app.views.floor_words import phase_words
from solver.visits import Part

_SPACE = uuid.UUID("6f1d6f0e-6a53-4b0e-9d3c-0f6f7c1c2a55")
"""Where keys of presses come from: two who press the same button of the same state make one event."""


def button(reading: Reading, label: str, kind: str, *, primary: bool = False, **fields: str | int) -> Button:
    """``fields``: what is sent besides. The key is of what is pressed and of all that happened to the same before."""
    texts = {"kind": kind, **{name: str(value) for name, value in fields.items()}}
    code = next((code for code, id in reading.row_ids.items() if str(id) == texts.get("visit")), None)
    before = sum(event.visit == code for event in reading.events)
    said = "|".join([reading.date.isoformat(), str(before), *(f"{name}={texts[name]}" for name in sorted(texts))])
    return Button(label, str(uuid.uuid5(_SPACE, said)), texts, primary)


def undo_button(reading: Reading, event: int) -> Button:
    return button(reading, "Take back", "undone", undoes=event)


def visit_buttons(reading: Reading, code: str) -> Iterator[Button]:
    """What may be done next with the visit, the likeliest first; a decision is made on the visit's own page."""
    run, visit = reading.state.visit(code), reading.day.visit_by_id[code]
    id = reading.row_ids[code]
    number = run.running
    if number is not None:
        yield from _of_running(reading, id, number, visit.parts[number], run)
        return
    if not reading.is_there(code):
        yield button(reading, "Arrived", "arrived", primary=True, visit=id)
        return
    upcoming = reading.next_part(code)
    if upcoming is not None and run.decision is not None and run.decision.go:
        label = "Start" if len(visit.parts) == 1 else f"Start part {upcoming + 1}"
        yield button(reading, label, "started", primary=True, visit=id, part=upcoming)


def _of_running(reading: Reading, id: int, number: int, part: Part, run: VisitRun) -> Iterator[Button]:
    here = run.parts[number]
    if here.paused:
        yield button(reading, "Go on", "resumed", primary=True, visit=id, part=number)
        return
    if here.phase + 1 < len(part.phases):
        words = phase_words(part.phases[here.phase + 1])
        yield button(reading, f"Next: {words}", "phase", primary=True, visit=id, part=number, phase=here.phase + 1)
    else:
        yield button(reading, "End", "ended", primary=True, visit=id, part=number)
    yield button(reading, "Pause", "paused", visit=id, part=number)
