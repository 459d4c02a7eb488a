"""The figures of the clinic as a whole."""

from collections.abc import Sequence

from solver.problem import Day
from solver.report.counted import units_of_plan
from solver.report.crowd import minutes_at_once
from solver.report.figures import ClinicFigures, UnitFigures
from solver.report.ratios import utilisation
from solver.report.watch import lowest_free_watch
from solver.schedule import Plan
from solver.stays import Stay


def clinic_figures(day: Day, plan: Plan, stays: Sequence[Stay], units: Sequence[UnitFigures]) -> ClinicFigures:
    at_once = minutes_at_once((stay.interval for stay in stays), day.open_interval)
    return {
        "visits_placed": len(plan.visits),
        "visits_left_out": len(plan.left_out),
        "peak_patients": max(at_once),
        "parallel_share": utilisation(
            sum(figures["parallel_min"] for figures in units), sum(figures["occupied_min"] for figures in units)
        ),
        "patients_histogram": {str(count): minutes for count, minutes in at_once.items()},
        "lowest_free_watch": lowest_free_watch(day, plan),
        "counted_units": units_of_plan(day, plan),
    }
