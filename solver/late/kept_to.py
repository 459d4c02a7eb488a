"""How near a day that is over kept to its plan: late, missed, overrun, and turnarounds. Whole numbers, to add up."""

from collections.abc import Collection, Mapping

from solver.late.actual import Given
from solver.late.happened import PartOf
from solver.problem import Day
from solver.schedule import Plan
from solver.stays import stays_of

LATE_MIN = 5
"""A visit that started more than so many minutes after its plan was late. Our choice, no source."""


def kept_to(
    day: Day, plan: Plan, given: Mapping[PartOf, Given], missed: Collection[str], unended: int
) -> dict[str, int]:
    """``missed``: visits whose patients did not come. ``unended``: parts that nobody ended, which ``given`` has with
    the minutes that were prescribed, so that they are in no overrun of their last phase."""
    starts = {code: one.start for (code, number), one in sorted(given.items(), reverse=True)}
    delays = [starts[visit.id] - visit.parts[0].start for visit in plan.visits if visit.id in starts]
    over = [max(0, one.minutes - day.visit_by_id[code].parts[number].minutes) for (code, number), one in given.items()]
    return {
        "visits": len(plan.visits),
        "begun": len(delays),
        "late": sum(delay > LATE_MIN for delay in delays),
        "late_min": sum(delay for delay in delays if delay > LATE_MIN),
        "missed": sum(visit.id in missed and visit.id not in starts for visit in plan.visits),
        "parts": len(over),
        "overrun": sum(minutes > 0 for minutes in over),
        "overrun_min": sum(over),
        "prescribed_min": sum(day.visit_by_id[code].parts[number].minutes for code, number in given),
        "unended": unended,
    }


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
