"""Everything about one part, as the panel tells it."""

from dataclasses import dataclass

from app.views.blocks import PHASE_WORDS, phase_kind, state_of
from app.views.cautions import UNATTENDED, Questions, questions
from app.views.parts import Planned, PlannedPart
from app.views.words import counted, from_wish, length
from solver.clock import clock


@dataclass(frozen=True, slots=True)
class Fact:
    """A line of the panel: a short name and what is so."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class PhaseLine:
    kind: str
    words: str
    times: str
    who: str


@dataclass(frozen=True, slots=True)
class PartDetail:
    """``state``: done, running or coming. ``other_parts``: the visit's other parts, each in a few words."""

    key: str
    visit: str
    patient: str
    title: str
    times: str
    state: str
    facts: tuple[Fact, ...]
    phases: tuple[PhaseLine, ...]
    other_parts: tuple[str, ...]
    questions: tuple[Questions, ...]
    bell: str


def part_details(planned: Planned, now: int | None) -> tuple[PartDetail, ...]:
    """The details of every planned part, by start."""
    return tuple(_detail(planned, part, now) for part in planned.parts)


def _detail(planned: Planned, part: PlannedPart, now: int | None) -> PartDetail:
    day = planned.day
    phases = []
    for phase, interval, hands in part.phases():
        who = day.staff_by_id[hands].name if hands else "nobody’s hands"
        kind = phase_kind(phase)
        phases.append(PhaseLine(kind, PHASE_WORDS[kind], str(interval), who))
    outputs = tuple(part.placed.channels)
    return PartDetail(
        key=part.key,
        visit=part.visit.id,
        patient=part.visit.patient,
        title=f"{', '.join(outputs)} · part {part.index + 1} of {len(part.visit.parts)}",
        times=f"{part.interval}, {length(part.part.minutes)}",
        state=state_of(part, now),
        facts=tuple(_facts(planned, part)),
        phases=tuple(phases),
        other_parts=tuple(
            f"{', '.join(other.placed.channels)} {other.interval} on {day.unit_by_id[other.placed.unit].name}"
            for other in planned.parts
            if other.visit.id == part.visit.id and other.index != part.index
        ),
        questions=questions(outputs),
        bell=UNATTENDED if any(phase.unattended for phase in part.part.phases) else "",
    )


def _facts(planned: Planned, part: PlannedPart) -> list[Fact]:
    day, visit, placed = planned.day, part.visit, part.placed
    unit, place = day.unit_by_id[placed.unit], day.place_by_id[placed.place]
    facts = [
        Fact("Visit", f"{visit.id}, part {part.part.id}, priority {visit.priority}"),
        Fact("Where", f"{unit.name}, {place.name}, bay {placed.bay}{_bay_after(planned, part)}"),
        Fact(
            "Channels",
            "; ".join(f"{output} on {', '.join(ids)}" for output, ids in placed.channels.items()),
        ),
    ]
    if placed.items:
        pools = "; ".join(
            f"{day.applicator_by_id[pool].name}: {', '.join(items)}" for pool, items in placed.items.items()
        )
        facts.append(Fact("Items", pools + _cleaning(planned, part)))
    if part.part.suction_kpa is not None:
        facts.append(Fact("Suction", f"{part.part.suction_kpa} kPa, as prescribed"))
    facts.append(Fact("Wish", _wish(part)))
    facts.append(Fact("Therapist", _therapist(planned, part)))
    if visit.fixed is not None:
        facts.append(Fact("Fixed", "some of this visit was fixed before planning"))
    return facts


def _wish(part: PlannedPart) -> str:
    if part.visit.wish is None:
        return "no wished start"
    return f"{clock(part.visit.wish)}; {from_wish(part.placed_visit.parts[0].start, part.visit.wish)}"


def _therapist(planned: Planned, part: PlannedPart) -> str:
    visit, chosen = part.visit, part.placed_visit.therapist
    if chosen is None:
        return "none needed"
    name = planned.day.staff_by_id[chosen].name
    if visit.therapist_must is not None:
        return f"{name}, required"
    if visit.therapist_wish is None:
        return name
    if visit.therapist_wish == chosen:
        return f"{name}, as wished"
    return f"{name}; wished for {planned.day.staff_by_id[visit.therapist_wish].name}"


def _bay_after(planned: Planned, part: PlannedPart) -> str:
    ready = planned.day.bay_turnover_min
    if not ready:
        return ""
    hold = next(hold for hold in planned.bay_holds if hold.stay == part.stay)
    return f"; bay ready again {clock(hold.after.end)}"


def _cleaning(planned: Planned, part: PlannedPart) -> str:
    ends = {
        hold.after.end
        for hold in planned.item_holds_of(part.stay)
        if any(hold.id in items for items in part.placed.items.values())
    }
    return f"; clean again {' / '.join(clock(end) for end in sorted(ends))}" if ends else ""


@dataclass(frozen=True, slots=True)
class LeftOutView:
    """A visit that is not in the plan and why."""

    visit: str
    patient: str
    wanted: str
    priority: int
    reasons: tuple[Fact, ...]


def left_out(planned: Planned) -> tuple[LeftOutView, ...]:
    """The left-out visits in the plan's order."""
    found = []
    for entry in planned.plan.left_out:
        visit = planned.day.visit_by_id[entry.id]
        minutes = visit.minutes
        wish = "" if visit.wish is None else f", wished {clock(visit.wish)}"
        found.append(
            LeftOutView(
                visit=visit.id,
                patient=visit.patient,
                wanted=f"{counted(len(visit.parts), 'part')}, {length(minutes)}{wish}",
                priority=visit.priority,
                reasons=tuple(Fact(reason.rule, reason.text) for reason in entry.reasons),
            )
        )
    return tuple(found)
