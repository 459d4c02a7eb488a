"""The aims counted again from the plan alone, one function for each, and the scores that a plan states."""

from collections.abc import Callable, Iterator, Mapping

from solver.names import AimName
from solver.problem import Day
from solver.schedule import Plan
from solver.verify.breach import Breach

_UNIT_DIFFERS = 10
_THERAPIST_DIFFERS = 10


def placed(day: Day, plan: Plan) -> int:
    """Sum of the priorities of the visits left out."""
    return sum(day.visit_by_id[left.id].priority for left in plan.left_out)


def stable(day: Day, plan: Plan) -> int:
    """How far the placed visits stand from what their patients were last told."""
    score = 0
    for visit in plan.visits:
        told = day.published_by_id.get(visit.id)
        if told is None or not told.parts:
            continue
        first, first_told = visit.parts[0], told.parts[0]
        score += abs(first.start - first_told.start)
        score += _UNIT_DIFFERS * (first.unit != first_told.unit)
        score += _THERAPIST_DIFFERS * (visit.therapist != told.therapist)
    return score


def wish(day: Day, plan: Plan) -> int:
    """Minutes between wished and planned starts."""
    return sum(
        abs(visit.parts[0].start - wished)
        for visit in plan.visits
        if (wished := day.visit_by_id[visit.id].wish) is not None
    )


def therapist(day: Day, plan: Plan) -> int:
    """Number of visits whose therapist is another than the one wished for."""
    return sum(
        wanted.needs_therapist and wanted.therapist_wish not in (None, visit.therapist)
        for visit in plan.visits
        for wanted in (day.visit_by_id[visit.id],)
    )


def wait(day: Day, plan: Plan) -> int:
    """Minutes between a part's end and the next part's start."""
    total = 0
    for visit in plan.visits:
        parts = day.visit_by_id[visit.id].parts
        for i in range(1, len(parts)):
            total += visit.parts[i].start - (visit.parts[i - 1].start + parts[i - 1].minutes)
    return total


def finish(day: Day, plan: Plan) -> int:
    """Minutes from ``open`` to the latest end of any part; 0 where none is placed."""
    ends = [
        placed_part.start + part.minutes
        for visit in plan.visits
        for part, placed_part in zip(day.visit_by_id[visit.id].parts, visit.parts, strict=True)
    ]
    return max(ends) - day.open if ends else 0


SCORES: Mapping[AimName, Callable[[Day, Plan], int]] = {
    "placed": placed,
    "stable": stable,
    "wish": wish,
    "therapist": therapist,
    "wait": wait,
    "finish": finish,
}


def scores_of(day: Day, plan: Plan) -> dict[AimName, int]:
    """The score of each of the day's aims, in their order. The plan's shape holds."""
    return {aim: SCORES[aim](day, plan) for aim in day.aims}


def check_scores(day: Day, plan: Plan) -> Iterator[Breach]:
    """The plan states a score for each of the day's aims and no other, and each is right."""
    right = scores_of(day, plan)
    for aim, score in right.items():
        stated = plan.scores.get(aim)
        if stated is None:
            yield Breach("scores", f"the score of the aim {aim} is missing; it is {score}")
        elif stated != score:
            yield Breach("scores", f"the aim {aim} is stated as {stated}, but it is {score}")
    for aim in plan.scores:
        if aim not in right:
            yield Breach("scores", f"a score is stated for {aim}, which is no aim of this day")
