"""How near a day that is over kept to its plan: late, missed, overrun, and turnarounds. Whole numbers, to add up."""

from collections.abc import Collection, Iterable, Mapping

from solver.late.actual import Given
from solver.late.happened import PartOf
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import stays_of

LATE_MIN = 5
"""A visit that started more than so many minutes after its plan was late. Our choice, no source."""


Row = dict[str, int]
_MEASURES = (
    *("visits", "begun", "late", "late_min", "missed", "parts"),
    *("overrun", "overrun_min", "prescribed_min", "unended"),
)


def kept_to(
    day: Day, plan: Plan, given: Mapping[PartOf, Given], missed: Collection[str], unended: Collection[PartOf]
) -> dict[str, Row]:
    """A row for each visit that the plan places. ``missed``: visits whose patients did not come. ``unended``: parts
    that nobody ended, which ``given`` has with the minutes that were prescribed, so that they are in no overrun of
    their last phase."""
    rows = {}
    for placed in plan.visits:
        parts = [
            (one.start, one.minutes, part.minutes)
            for number, part in enumerate(day.visit_by_id[placed.id].parts)
            if (one := given.get((placed.id, number))) is not None
        ]
        delay = parts[0][0] - placed.parts[0].start if parts else 0
        over = [max(0, minutes - prescribed) for _, minutes, prescribed in parts]
        rows[placed.id] = {
            "visits": 1,
            "begun": int(bool(parts)),
            "late": int(delay > LATE_MIN),
            "late_min": delay if delay > LATE_MIN else 0,
            "missed": int(placed.id in missed and not parts),
            "parts": len(parts),
            "overrun": sum(minutes > 0 for minutes in over),
            "overrun_min": sum(over),
            "prescribed_min": sum(prescribed for _, _, prescribed in parts),
            "unended": sum(code == placed.id for code, _ in unended),
        }
    return rows


def joined(rows: Iterable[Row]) -> Row:
    """Any number of visits as one row; all zero where there is none."""
    whole = dict.fromkeys(_MEASURES, 0)
    for row in rows:
        for measure, value in row.items():
            whole[measure] += value
    return whole


def turnarounds(day: Day, plan: Plan) -> dict[str, int]:
    """``reused``: how often an item was used again; ``kept``: how often of these not before its turnaround was over.

    The plan is what was given, or any other.
    """
    reused = kept = 0
    stays = stays_of(day, plan)
    for pool in day.applicators:
        for item in pool.items:
            ready: int | None = None
            holds = (
                [(where.start, where.start + part.minutes) for part, where in stay.parts if _has(where.items, item)]
                for stay in stays
            )
            for spans in sorted(spans for spans in holds if spans):
                if ready is not None:
                    reused += 1
                    kept += spans[0][0] >= ready
                ready = max(end for _, end in spans) + pool.turnaround_min
    return {"reused": reused, "kept": kept}


def _has(items: Mapping[str, tuple[str, ...]], item: str) -> bool:
    return any(item in names for names in items.values())
