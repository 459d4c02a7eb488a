"""What a press says besides its kind, from the texts of a form."""

from collections.abc import Callable, Mapping
from typing import Any

from app.services.treatments.form import read_text
from app.typed import whole
from solver.clock import parse_clock
from solver.problem import Day
from solver.reading.faults import Faults

Texts = Mapping[str, str]
Document = dict[str, Any]
GO, NOT_NOW = "go", "not_now"
DECISIONS = (GO, NOT_NOW)
ANSWERS = ("yes", "no", "not asked")
ANSWER = "answer:"
"""What the field of a question's answer begins with; the question follows."""


def read_detail(kind: str, texts: Texts, day: Day) -> Document:
    """The detail of an event of the kind. Raises InputError with each fault at its field."""
    faults = Faults()
    read = _READ.get(kind, _nothing)(faults, texts, day)
    faults.refuse_if_any()
    return read


def _nothing(_faults: Faults, _texts: Texts, _day: Day) -> Document:
    return {}


def _reason(faults: Faults, texts: Texts, _day: Day) -> Document:
    return {"reason": read_text(faults, "reason", texts.get("reason"))}


def _needed_reason(faults: Faults, texts: Texts, _day: Day) -> Document:
    return {"reason": read_text(faults, "reason", texts.get("reason"), needed="why")}


def _expected(faults: Faults, texts: Texts, day: Day) -> Document:
    return {"minute": _minute(faults, texts, day)}


def _minute(faults: Faults, texts: Texts, day: Day) -> int:
    minute = parse_clock(texts.get("minute", ""))
    if minute is None or not day.open <= minute <= day.close:
        faults.add("minute", "this is no time within the opening hours", "give one such as 10:20")
        return day.open
    return minute


def _decided(faults: Faults, texts: Texts, _day: Day) -> Document:
    decision = texts.get("decision", "")
    if decision not in DECISIONS:
        faults.add("decision", "nothing is decided", "say go ahead, or not now")
    answers: dict[str, str] = {}
    for field, answer in texts.items():
        if field.startswith(ANSWER):
            if answer not in ANSWERS:
                faults.add(field, "this is no answer", f"say {', '.join(ANSWERS[:-1])} or {ANSWERS[-1]}")
            answers[read_text(faults, field, field.removeprefix(ANSWER))] = answer
    return {
        "decision": decision,
        "by": read_text(faults, "by", texts.get("by"), needed="the name of the clinician who decided"),
        "note": read_text(faults, "note", texts.get("note")),
        "answers": answers,
    }


def _phase(faults: Faults, texts: Texts, _day: Day) -> Document:
    phase = whole(texts.get("phase", ""))
    if phase is None:
        faults.add("phase", "this is no phase", "give its number, from 0")
    return {"phase": phase}


def _taken_over(faults: Faults, texts: Texts, day: Day) -> Document:
    return {**_phase(faults, texts, day), **_staff(faults, texts, day)}


def _set(faults: Faults, texts: Texts, _day: Day) -> Document:
    return {"said": read_text(faults, "said", texts.get("said"), needed="what was set, such as 0.8 W/cm²")}


def _comfort(faults: Faults, texts: Texts, _day: Day) -> Document:
    return {"said": read_text(faults, "said", texts.get("said"), needed="what the patient said")}


def _skin(faults: Faults, texts: Texts, _day: Day) -> Document:
    when = texts.get("when", "")
    if when not in ("before", "after"):
        faults.add("when", "it is not said when", "say before, or after")
    return {"when": when, "said": read_text(faults, "said", texts.get("said"), needed="what was seen")}


def _item(faults: Faults, texts: Texts, day: Day) -> Document:
    known = {item for pool in day.applicators for item in pool.items}
    return {"item": _one_of(faults, "item", texts, known)}


def _unit(faults: Faults, texts: Texts, day: Day) -> Document:
    return {"unit": _one_of(faults, "unit", texts, set(day.unit_by_id))}


def _battery_unit(faults: Faults, texts: Texts, day: Day) -> Document:
    unit = day.unit_by_id.get(texts.get("unit", ""))
    if unit is not None and unit.battery is None:
        faults.add("unit", f"{unit.name} runs on mains", "choose a unit with a battery")
    return _unit(faults, texts, day)


def _staff(faults: Faults, texts: Texts, day: Day) -> Document:
    return {"staff": _one_of(faults, "staff", texts, set(day.staff_by_id))}


def _one_of(faults: Faults, field: str, texts: Texts, known: set[str]) -> str:
    given = texts.get(field, "")
    if given not in known:
        faults.add(field, "the day has none of this name", "choose one of the day’s")
    return given


def _until(faults: Faults, texts: Texts, day: Day) -> Document:
    return {"minute": _minute(faults, texts, day)} if texts.get("minute") else {}


def _out_of_service(faults: Faults, texts: Texts, day: Day) -> Document:
    return {**_unit(faults, texts, day), **_needed_reason(faults, texts, day), **_until(faults, texts, day)}


def _away(faults: Faults, texts: Texts, day: Day) -> Document:
    return {**_staff(faults, texts, day), **_reason(faults, texts, day), **_until(faults, texts, day)}


def _signed(faults: Faults, texts: Texts, _day: Day) -> Document:
    return {"note": read_text(faults, "note", texts.get("note"))}


_READ: Mapping[str, Callable[[Faults, Texts, Day], Document]] = {
    "expected": _expected,
    "decided": _decided,
    "phase": _phase,
    "taken_over": _taken_over,
    "set": _set,
    "comfort": _comfort,
    "skin": _skin,
    "paused": _reason,
    "ended": _reason,
    "stopped": _needed_reason,
    "set_aside": _item,
    "clean": _item,
    "out_of_service": _out_of_service,
    "in_service": _unit,
    "battery_empty": _battery_unit,
    "away": _away,
    "back": _staff,
    "signed": _signed,
}
