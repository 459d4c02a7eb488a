"""What the visits of each treatment use. A visit that was booked with none is in the row without a name, ``""``.

Minutes are those of the report's channels and staff: a part that holds two channels counts twice, so that on a plan
the rows sum to the clinic.
"""

from collections.abc import Mapping

from solver.problem import Day
from solver.schedule import PlacedPart, Plan
from solver.visits import Part

_MEASURES = ("visits_placed", "visits_left_out", "used_min", "held_min", "hands_min")


def treatment_rows(day: Day, plan: Plan, treatments: Mapping[str, str]) -> dict[str, dict[str, int]]:
    """``treatments``: by visit."""
    rows = {treatments.get(visit.id, ""): dict.fromkeys(_MEASURES, 0) for visit in day.visits}
    for left in plan.left_out:
        rows[treatments.get(left.id, "")]["visits_left_out"] += 1
    for placed in plan.visits:
        row = rows[treatments.get(placed.id, "")]
        row["visits_placed"] += 1
        for part, where in zip(day.visit_by_id[placed.id].parts, placed.parts, strict=True):
            _count(row, part, where)
    return rows


def _count(row: dict[str, int], part: Part, where: PlacedPart) -> None:
    channels = sum(len(ids) for ids in where.channels.values())
    row["used_min"] += channels * sum(phase.minutes for phase in part.phases if phase.running)
    row["held_min"] += channels * part.minutes
    row["hands_min"] += sum(
        phase.minutes for phase, who in zip(part.phases, where.hands, strict=True) if who is not None
    )
