"""The page on how the plan of a day stands up to chance: its figures, who is most exposed, and its tables."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from app.views.use.page import Number
from app.views.use.spread import Pile, end_piles, wait_piles
from app.views.use.tables import Table
from app.views.words import length
from solver.called import called
from solver.clock import clock
from solver.names import RuleName
from solver.problem import Day
from solver.simulation import Simulated, Simulation
from solver.simulation.figures import HolderFigures
from solver.simulation.quantiles import above, mean, quantile

BEHIND: Mapping[RuleName, str] = {
    "hands": "the hands of {}",
    "channels": "channel {}",
    "bay": "{}",
    "applicator": "{}",
    "place": "{} to be at its place",
    "patients": "room on {}",
    "suction": "the suction of {}",
    "patient": "another visit of the same patient",
    "watch": "somebody who can watch",
}
_QUANTILES = (50, 75, 90, 95, 100)
_AT_MOST = "95 of 100 at most min"
LONG = ("what", "how often %", "mean min", "half min", *(f"{many} of 100 min" for many in _QUANTILES[1:-1]), "most min")
EXPOSED = ("patient", "planned", "delayed %", "mean min", _AT_MOST, "waits most often for", "% of its delays")
STAFF = ("member", "% of runs", "mean min", _AT_MOST)
END = ("end", "runs", "% of runs", "which is")
WAITS = ("minutes", "visits", "% of visits")


@dataclass(frozen=True, slots=True)
class Names:
    """``patients``: by visit; a visit that is gone since goes by its id. ``day``: as it was tried out."""

    patients: Mapping[str, str]
    day: Day
    starts: Mapping[str, int]

    def thing(self, rule: RuleName, id: str) -> str:
        return called(self.day, rule, id) or id

    def visit(self, id: str) -> str:
        return self.patients.get(id, id)

    def at(self, id: str) -> str:
        return clock(self.starts[id]) if id in self.starts else ""


@dataclass(frozen=True, slots=True)
class Tried:
    """What the runs found. ``end`` and ``waits``: piles to draw; ``tables`` by name. ``text``: what the model is.

    ``asked``: with which settings. ``slack``: a sentence for each of the most exposed visits; empty where none was
    looked for.
    """

    runs: int
    seed: int
    asked: str
    numbers: tuple[Number, ...]
    end: tuple[Pile, ...]
    waits: tuple[Pile, ...]
    tables: Mapping[str, Table]
    slack: tuple[str, ...]
    text: tuple[str, ...]


def tried(found: Simulated, names: Names) -> Tried:
    figures, hours = found.figures, names.day.open_interval
    planned = hours.start + figures["finish"]["planned_min"]
    end, waits = end_piles(found.finish, planned, hours.end), wait_piles(found.waits)
    ends = tuple((pile.name, str(pile.often), pile.percent, pile.words) for pile in end)
    waited = tuple((pile.name, str(pile.often), pile.percent) for pile in waits)
    tables = (
        Table("long", "How often, and for how long", LONG, tuple(_long(found, planned))),
        Table("exposed", "The visits most exposed", EXPOSED, tuple(_exposed(figures, names)), (5,)),
        Table("staff", "Staff who stay longer than their hours", STAFF, tuple(_staff(figures, names))),
        Table("end", "When the day ends", END, ends, (3,)),
        Table("waits", "How long patients wait", WAITS, waited),
    )
    return Tried(
        runs=figures["runs"],
        seed=figures["seed"],
        asked=_asked(figures["settings"]),
        numbers=tuple(_numbers(figures)),
        end=end,
        waits=waits[1:],
        tables={table.name: table for table in tables},
        slack=tuple(_slack(each["visit"], each["min"], names) for each in figures["slack"]),
        text=tuple(figures["text"]),
    )


def _asked(settings: Mapping[str, float | int]) -> str:
    """The settings in words, so that a printed page has them."""
    late = f"Late: {_share(settings, 'late')}"
    limit = f" (later than {settings['late_limit']} min: missed)" if settings["late_limit"] else ""
    return f"{late}{limit}. Missed: {100 * settings['missed_share']:g} %. Overrun: {_share(settings, 'overrun')}."


def _share(settings: Mapping[str, float | int], name: str) -> str:
    share = settings[f"{name}_share"]
    return f"{100 * share:g} %, by {settings[f'{name}_mean']:g} min on the average" if share else "none"


def _numbers(figures: Simulation) -> Iterator[Number]:
    wait, short, finish, missed = figures["wait"], figures["watch_short"], figures["finish"], figures["missed"]
    long = f"half of those at most {length(wait['p50_min'])}, 95 of 100 at most {length(wait['p95_min'])}"
    yield Number("Patients wait", _percent(wait["share"]), f"of the visits that take place; {long}")
    short_note = f"of the runs; {short['mean_min']:.1f} min a run on the average"
    yield Number("Watch is short", _percent(short["share"]), short_note)
    late = f"of the runs, by {finish['late_mean_min']:.0f} min on the average"
    after = f"after closing in {_percent(finish['after_close_share'])}"
    yield Number("Ends later than planned", _percent(finish["late_share"]), f"{late}; {after}")
    yield Number("Missed", _percent(missed["share"]), f"of the visits, {missed['mean_visits']:.1f} a run")


def _long(found: Simulated, planned: int) -> Iterator[tuple[str, ...]]:
    """Minutes of those alone to whom it happens."""
    late = Counter({minute - planned: often for minute, often in found.finish.items()})
    for what, minutes in (
        ("A patient waits", found.waits),
        ("Watch is short", found.short),
        ("The day ends later than planned", late),
    ):
        happens = above(minutes, 0)
        share = 100 * happens.total() / minutes.total() if minutes.total() else 0
        cells = (str(quantile(happens, hundredths)) for hundredths in _QUANTILES)
        yield (what, f"{share:.1f}", f"{mean(happens):.1f}", *cells)


def _exposed(figures: Simulation, names: Names) -> Iterator[tuple[str, ...]]:
    for each in figures["exposed"]:
        held = each["held_by"]
        yield (
            names.visit(each["visit"]),
            names.at(each["visit"]),
            f"{100 * each['share']:.1f}",
            f"{each['mean_min']:.1f}",
            str(each["p95_min"]),
            _behind(held, names),
            f"{100 * held['share']:.0f}",
        )


def _behind(held: HolderFigures, names: Names) -> str:
    """What a visit waits for, and who has it before."""
    what = BEHIND.get(held["rule"], held["rule"]).format(names.thing(held["rule"], held["resource"]))
    if held["rule"] == "watch":
        return what
    if held["visit"] is None:
        return f"{what}, after a break"
    at = names.at(held["visit"])
    return f"{what}, after {names.visit(held['visit'])}{f' ({at})' if at else ''}"


def _staff(figures: Simulation, names: Names) -> Iterator[tuple[str, ...]]:
    for each in figures["overtime"]:
        share, mean_min = f"{100 * each['share']:.1f}", f"{each['mean_min']:.1f}"
        yield (names.thing("hands", each["staff"]), share, mean_min, str(each["p95_min"]))


def _slack(visit: str, minutes: int | None, names: Names) -> str:
    who = f"{names.visit(visit)}, {names.at(visit)}" if names.at(visit) else names.visit(visit)
    if minutes is None:
        return f"{who}: an hour of slack before it would not be enough."
    if not minutes:
        return f"{who}: no slack is needed; 95 times of 100 it is delayed by less than 5 min already."
    told = f" (at {clock(names.starts[visit] + minutes)})" if visit in names.starts else ""
    later = f"told to come {minutes} min later{told}, all else as planned"
    return f"{who}: {later}, it would be delayed by less than 5 min 95 times of 100."


def _percent(share: float) -> str:
    return f"{100 * share:.1f} %"
