"""What the page about a late day reads."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.views.floor_words import short_time
from app.views.words import counted
from solver.clock import clock
from solver.late import Moved, Outcome
from solver.problem import Day


@dataclass(frozen=True, slots=True)
class LateLine:
    """A visit that would move. ``shift`` and ``repair``: how, in words; empty where it stays."""

    address: str
    name: str
    planned: str
    told: bool
    shift: str
    repair: str


@dataclass(frozen=True, slots=True)
class LeftLine:
    name: str
    why: str


@dataclass(frozen=True, slots=True)
class AbandonedLine:
    """A phase in the hands of somebody who is away. ``could``: who may take it over and is free; empty: nobody."""

    address: str
    name: str
    phase: str
    hands: str
    could: str


@dataclass(frozen=True, slots=True)
class OutcomeView:
    """``can``: there is a plan to accept. ``left``: who has no place, and why; ``broken``: which rules."""

    can: bool
    changes: bool
    total: str
    left: tuple[LeftLine, ...]
    broken: tuple[str, ...]


def late_words(outcome: Outcome) -> str:
    """``3 visits move, the most by 25 minutes; 1 has no place left``; empty where nothing moves."""
    if outcome.broken:
        return "What happened breaks a rule, so nothing that follows can be reckoned: somebody must decide"
    said = []
    moved = [one for one in outcome.moved if one.minutes]
    if moved:
        most = max(abs(one.minutes) for one in moved)
        said.append(f"{counted(len(moved), 'visit')} would begin later, the most by {counted(most, 'minute')}")
    elif outcome.moved:
        said.append(f"{counted(len(outcome.moved), 'visit')} would be elsewhere")
    if outcome.left:
        said.append(f"for {len(outcome.left)} no place is left")
    return "; ".join(said)


def outcome_view(day: Day, outcome: Outcome) -> OutcomeView:
    names = {visit.id: visit.patient for visit in day.visits} | {member.id: member.name for member in day.staff}
    moved = [one for one in outcome.moved if one.minutes]
    elsewhere = sum(one.elsewhere for one in outcome.moved)
    total = f"{counted(len(moved), 'visit')} moved, {counted(outcome.minutes, 'minute')} in all"
    if elsewhere:
        total += f"; {elsewhere} to another unit or therapist"
    return OutcomeView(
        can=outcome.plan is not None,
        changes=bool(outcome.moved or outcome.left),
        total=total,
        left=tuple(
            LeftLine(names.get(one.id, one.id), "; ".join(f"{reason.rule}: {reason.text}" for reason in one.reasons))
            for one in outcome.left
        ),
        broken=tuple(_named(day, str(one)) for one in outcome.broken),
    )


def _named(day: Day, text: str) -> str:
    """The text with the patient behind each visit’s id."""
    names = day.visit_by_id
    return re.sub(
        r"[^\s(),:]+", lambda word: f"{word[0]} ({names[word[0]].patient})" if word[0] in names else word[0], text
    )


def late_lines(day: Day, outcomes: Sequence[Outcome | None], addresses: Mapping[str, str]) -> tuple[LateLine, ...]:
    """Every visit that moves in any of the two outcomes, by its planned time. ``addresses``: of its page, by visit."""
    by_visit = [{one.id: one for one in outcome.moved} if outcome is not None else {} for outcome in outcomes]
    moved = {id: one for each in by_visit for id, one in each.items()}
    return tuple(
        LateLine(
            address=addresses[id],
            name=day.visit_by_id[id].patient,
            planned=clock(one.before),
            told=id in day.published_by_id,
            shift=_how(by_visit[0].get(id)),
            repair=_how(by_visit[1].get(id)),
        )
        for id, one in sorted(moved.items(), key=lambda pair: (pair[1].before, pair[0]))
    )


def _how(one: Moved | None) -> str:
    if one is None:
        return ""
    return short_time(one.after, one.minutes) + (", elsewhere" if one.elsewhere else "")
