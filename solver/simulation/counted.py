"""From the tally of all runs to the figures of the result."""

from collections.abc import Sequence

from solver.simulation.figures import (
    ExposedFigures,
    FinishFigures,
    HolderFigures,
    MissedFigures,
    OvertimeFigures,
    WaitFigures,
    WatchFigures,
)
from solver.simulation.layout import Layout
from solver.simulation.quantiles import above, mean, quantile, share
from solver.simulation.tally import Tally

MOST_EXPOSED = 10


def most_exposed(tally: Tally) -> list[int]:
    """The visits, by number, with the longest delays: by p95, then mean, then planned order; none never delayed."""
    delayed = [number for number, delays in sorted(tally.delays.items()) if above(delays, 0)]
    return sorted(delayed, key=lambda n: (-quantile(tally.delays[n], 95), -mean(tally.delays[n]), n))[:MOST_EXPOSED]


def exposed_figures(layout: Layout, tally: Tally, visits: Sequence[int]) -> list[ExposedFigures]:
    """One for each of the visits, by number."""
    figures: list[ExposedFigures] = []
    for number in visits:
        delays = tally.delays[number]
        figures.append(
            {
                "visit": layout.visits[number].id,
                "share": share(above(delays, 0).total(), delays.total()),
                "mean_min": mean(delays),
                "p95_min": quantile(delays, 95),
                "held_by": _holder(tally, number),
            }
        )
    return figures


def _holder(tally: Tally, number: int) -> HolderFigures:
    """By what the visit was held last, most often; of those as often, the first by name."""
    held = tally.held[number]
    holder = min(held, key=lambda one: (-held[one], one.rule, one.resource, one.visit or ""))
    often = share(held[holder], held.total())
    return {"rule": holder.rule, "resource": holder.resource, "visit": holder.visit, "share": often}


def wait_figures(tally: Tally) -> WaitFigures:
    waited = above(tally.waits, 0)
    return {
        "share": share(waited.total(), tally.waits.total()),
        "mean_min": mean(waited),
        "p50_min": quantile(waited, 50),
        "p95_min": quantile(waited, 95),
    }


def watch_figures(tally: Tally) -> WatchFigures:
    return {
        "share": share(above(tally.short, 0).total(), tally.runs),
        "mean_min": mean(tally.short),
        "p95_min": quantile(tally.short, 95),
    }


def finish_figures(layout: Layout, tally: Tally) -> FinishFigures:
    late = above(tally.finish, layout.finish)
    late_by = sum(minute * times for minute, times in late.items()) - layout.finish * late.total()
    sums = sum(minute * times for minute, times in tally.finish.items()) - layout.open * tally.runs
    return {
        "planned_min": layout.finish - layout.open,
        "mean_min": share(sums, tally.runs),
        "p95_min": quantile(tally.finish, 95) - layout.open,
        "late_share": share(late.total(), tally.runs),
        "late_mean_min": share(late_by, late.total()),
        "after_close_share": share(above(tally.finish, layout.close).total(), tally.runs),
    }


def overtime_figures(layout: Layout, tally: Tally) -> list[OvertimeFigures]:
    return [
        {
            "staff": member.id,
            "share": share(above(tally.overtime[number], 0).total(), tally.runs),
            "mean_min": mean(tally.overtime[number]),
            "p95_min": quantile(tally.overtime[number], 95),
        }
        for number, member in enumerate(layout.members)
    ]


def missed_figures(layout: Layout, tally: Tally) -> MissedFigures:
    return {
        "share": share(tally.missed, tally.runs * len(layout.visits)),
        "mean_visits": share(tally.missed, tally.runs),
    }
