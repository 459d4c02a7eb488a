"""What a proposal would change: who moves, by how much, who is newly in or out, and the aims side by side."""

from dataclasses import dataclass

from app.views.summary import AimLine, aim_lines
from app.views.words import length
from solver.clock import clock
from solver.problem import Day
from solver.schedule import PlacedVisit, Plan


@dataclass(frozen=True, slots=True)
class Change:
    """``told``: the patient was told of another place than the proposal's."""

    patient: str
    visit: str
    before: str
    after: str
    how: str
    told: bool


@dataclass(frozen=True, slots=True)
class Stays:
    """A visit whose patient was told, and which stays unless it is ``free`` to move."""

    visit: str
    patient: str
    told: str
    free: bool


@dataclass(frozen=True, slots=True)
class AimBeside:
    words: str
    help: str
    before: int
    after: int


def changes(day: Day, before: Plan, after: Plan) -> tuple[Change, ...]:
    """Everybody who would be elsewhere, in other hands, newly in or out; by the time they have then."""
    had, gets = ({one.id: one for one in plan.visits} for plan in (before, after))
    found = []
    for visit in day.visits:
        old, new = had.get(visit.id), gets.get(visit.id)
        if _words(day, old) == _words(day, new):
            continue
        told = day.published_by_id.get(visit.id)
        wrong = told is not None and (new is None or _words(day, told) != _words(day, new))
        change = Change(visit.patient, visit.id, _words(day, old), _words(day, new), _how(old, new), wrong)
        found.append((new.parts[0].start if new is not None else 1441, change))
    return tuple(change for _, change in sorted(found, key=lambda one: (one[0], one[1].visit)))


def aims_beside(day: Day, before: Plan, after: Plan) -> tuple[AimBeside, ...]:
    lines = zip(_lines(day, before), _lines(day, after), strict=True)
    return tuple(AimBeside(old.words, old.help, old.score, new.score) for old, new in lines)


def _lines(day: Day, plan: Plan) -> tuple[AimLine, ...]:
    return aim_lines(day.aims, plan.scores, {})


def _words(day: Day, placed: PlacedVisit | None) -> str:
    if placed is None:
        return "not in the plan"
    where = []
    for part in placed.parts:
        unit = day.unit_by_id[part.unit].name if part.unit in day.unit_by_id else part.unit
        where.append(f"{clock(part.start)} on {unit} in {part.bay}")
    who = placed.therapist
    if who is not None:
        who = day.staff_by_id[who].name if who in day.staff_by_id else who
    return "; ".join(where) + ("" if who is None else f" with {who}")


def _how(old: PlacedVisit | None, new: PlacedVisit | None) -> str:
    if old is None:
        return "newly in"
    if new is None:
        return "newly out"
    by = new.parts[0].start - old.parts[0].start
    if by == 0:
        return "same start"
    return f"{length(abs(by))} {'later' if by > 0 else 'earlier'}"
