"""The utilisation report of a plan. Minutes are counted over half-open intervals, each figure in its own file."""

from solver.problem import Day
from solver.report.applicators import applicator_figures
from solver.report.bays import bay_figures
from solver.report.channels import channel_figures
from solver.report.clinic import clinic_figures
from solver.report.counted import counted_units
from solver.report.figures import Report
from solver.report.ratios import utilisation
from solver.report.staff import staff_figures
from solver.report.units import unit_figures
from solver.schedule import Plan
from solver.stays import stays_of

__all__ = ["Report", "counted_units", "report", "utilisation"]


def report(day: Day, plan: Plan) -> Report:
    """What a plan of the day uses of everything the clinic has. The plan is one that the verifier finds right.

    An infeasible plan has no visits and no breaks, and so is reported as an empty day.
    """
    stays = stays_of(day, plan)
    channels = channel_figures(day, plan)
    units = unit_figures(day, plan, stays, channels)
    return {
        "format": "channelday-report/1",
        "channels": channels,
        "units": units,
        "applicators": applicator_figures(day, stays),
        "bays": bay_figures(day, stays),
        "staff": staff_figures(day, plan),
        "clinic": clinic_figures(day, plan, stays, units),
    }
