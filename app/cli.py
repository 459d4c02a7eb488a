"""The command line: ``channelday``."""

import sys
from collections.abc import Sequence
from importlib.metadata import PackageNotFoundError, version
from io import TextIOWrapper
from typing import Annotated

import typer

from app.commands.backup import backup
from app.commands.check import check
from app.commands.export_day import export_day
from app.commands.export_fhir import export_fhir
from app.commands.forget_patient import forget_patient
from app.commands.import_day import import_day
from app.commands.init import init
from app.commands.lines import say, warn, warn_of
from app.commands.offers import offers
from app.commands.report import report
from app.commands.reset_password import reset_password
from app.commands.restore import restore
from app.commands.serve import serve
from app.commands.simulate import simulate
from app.commands.solve import solve
from app.commands.upgrade import upgrade
from app.commands.verify import verify
from app.commands.whatif import whatif
from app.commands.whynot import whynot
from app.demo import demo
from app.errors import StaleDayError, StoreError
from solver.errors import InputError, NoPlanInTimeError, PlanRefusedError, SimulationBrokenError

EXIT_REFUSED = 1
EXIT_BAD_INPUT = 2

app = typer.Typer(
    name="channelday",
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    no_args_is_help=False,
)


def _say_version(wanted: bool) -> None:
    if wanted:
        say(f"channelday {_version()}")
        raise typer.Exit


def _version() -> str:
    try:
        return version("channelday")
    except PackageNotFoundError:
        return "(not installed)"


@app.callback()
def channelday(
    version: Annotated[
        bool, typer.Option("--version", help="Say which version this is.", callback=_say_version, is_eager=True)
    ] = False,
) -> None:
    """Plan the day of a physiotherapy clinic's multi-channel units.

    A day file says what the clinic has and whom it treats; a plan file says who is where, when, on which channels
    and in whose hands.

    Example: channelday solve monday.json --out monday-plan.json

    Exit codes: 0 done; 1 a rule is broken; 2 a file or an option cannot be used; 3 no plan is possible.

    It schedules and records. It decides nothing clinical: minutes and settings are what the clinician prescribed.
    """


app.command()(solve)
app.command()(verify)
app.command()(report)
app.command()(offers)
app.command()(whynot)
app.command()(simulate)
app.command()(whatif)
app.command()(demo)
app.command()(serve)
app.command()(init)
app.command()(upgrade)
app.command()(import_day)
app.command()(export_day)
app.command()(export_fhir)
app.command()(backup)
app.command()(restore)
app.command()(check)
app.command()(forget_patient)
app.command()(reset_password)


def run(arguments: Sequence[str]) -> int:
    """Run one command; its exit code. Whatever goes wrong on purpose is said in one line for each thing."""
    try:
        code = typer.main.get_command(app).main(list(arguments), prog_name="channelday", standalone_mode=False)
    except typer.TyperException as error:
        warn(f"{error.format_message().rstrip('.')}. See: channelday --help")
        return EXIT_BAD_INPUT
    except InputError as error:
        warn_of([str(fault) for fault in error.faults], "faults")
        return EXIT_BAD_INPUT
    except StoreError as error:
        warn(str(error))
        return EXIT_BAD_INPUT
    except StaleDayError as error:
        warn(str(error))
        warn_of(error.changes, "changes")
        return EXIT_BAD_INPUT
    except PlanRefusedError as error:
        warn("The plan is not written: it broke a rule when it was checked. This is a fault in Channelday.")
        warn_of(error.lines, "broken rules")
        return EXIT_REFUSED
    except NoPlanInTimeError as error:
        warn(f"No plan is written: {error}")
        return EXIT_REFUSED
    except SimulationBrokenError as error:
        warn(f"No simulation is written: {error}")
        return EXIT_REFUSED
    return code if isinstance(code, int) else 0


def main() -> None:
    """The program's entry point."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    sys.exit(run(sys.argv[1:]))
