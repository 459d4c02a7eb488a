"""``channelday report``: what a plan uses of the clinic."""

from pathlib import Path
from typing import Annotated

import typer

from app.commands.files import check_output, load_day, load_plan
from app.commands.lines import say, warn_of
from solver.errors import Fault, InputError
from solver.jsonio import write_json
from solver.problem import Day
from solver.reading.plan_references import unknown_names
from solver.report import report as count_use
from solver.schedule import Plan
from solver.verify import verify


def report(
    day_file: Annotated[Path, typer.Argument(metavar="DAY.json", help="The day file.")],
    plan_file: Annotated[Path, typer.Argument(metavar="PLAN.json", help="A plan of that day.")],
    out: Annotated[Path, typer.Option(metavar="REPORT.json", help="Where to write the report.")],
) -> None:
    """Count how much a plan uses of everything.

    Of channels, units, applicators, bays and staff, and of the clinic as a whole. A plan that breaks rules is counted
    as it stands, with a warning for each broken rule.

    Example: channelday report monday.json monday-plan.json --out monday-use.json

    Exit codes: 0 the report is written; 2 a file cannot be used.
    """
    check_output(out, day_file, plan_file)
    day = load_day(day_file)
    plan = load_plan(plan_file)
    warnings = _broken_rules(day, plan, plan_file)
    write_json(out, count_use(day, plan))
    warn_of([f"warning: {line}" for line in warnings], "warnings")
    say(f"The report is in {out}.")


def _broken_rules(day: Day, plan: Plan, plan_file: Path) -> list[str]:
    """The lines of the broken rules. Raises InputError where the plan does not fit the day at all."""
    breaches = verify(day, plan)
    misfits = [breach for breach in breaches if breach.rule == "shape"]
    if misfits:
        right = f"give a plan of this day (in {plan_file})"
        raise InputError(Fault(breach.rule, breach.text, right) for breach in misfits)
    unknown = unknown_names(day, plan)
    if unknown:
        raise InputError(Fault(fault.where, fault.what, f"{fault.right} (in {plan_file})") for fault in unknown)
    return [str(breach) for breach in breaches]
