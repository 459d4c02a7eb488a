"""``channelday offers``: where a visit can be added to a plan."""

from pathlib import Path
from typing import Annotated

import typer

from app.commands.files import check_output, load_question
from app.commands.lines import say
from solver.jsonio import offers_document, write_json
from solver.offers import offers_in


def offers(
    day_file: Annotated[Path, typer.Argument(metavar="DAY.json", help="The day file.")],
    plan_file: Annotated[Path, typer.Argument(metavar="PLAN.json", help="A right plan of that day.")],
    visit_file: Annotated[Path, typer.Argument(metavar="VISIT.json", help="One visit, written as in a day file.")],
    out: Annotated[Path, typer.Option(metavar="OFFERS.json", help="Where to write the offers.")],
) -> None:
    """Find every start at which a visit can be added to a plan.

    Nothing in the plan changes; if the visit is in it already, it may move. For each start the best place, hands and
    channels are given, by time.

    Example: channelday offers monday.json monday-plan.json visit.json --out offers.json

    Exit codes: 0 the offers are written, even if there are none; 2 a file cannot be used, or the plan breaks a rule.
    """
    check_output(out, day_file, plan_file, visit_file)
    loaded, visit = load_question(day_file, plan_file, visit_file)
    found = offers_in(loaded, visit)
    write_json(out, offers_document(found))
    say(f"{len(found)} {'start' if len(found) == 1 else 'starts'}. The offers are in {out}.")
