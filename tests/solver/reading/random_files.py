"""Hypothesis strategies for right day and plan files, as documents: every key, each optional one at times left out."""

from typing import Any

from hypothesis import strategies as st

from solver.clock import clock
from solver.names import AIMS, RULES
from tests.solver.reading.full_files import Document

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=6)
OUTPUTS = st.sampled_from(["pads", "cups", "ultrasound", "ä\n"])
NUMBERS = st.integers(0, 1_000_000)
TIMES = st.integers(0, 1440).map(clock)


@st.composite
def intervals(draw: st.DrawFn, most: int = 3) -> list[list[str]]:
    """Intervals that may touch and do not overlap, in any order."""
    ends = sorted(draw(st.lists(st.integers(0, 1440), min_size=0, max_size=2 * most, unique=True)))
    return draw(st.permutations([[clock(a), clock(b)] for a, b in zip(ends[::2], ends[1::2], strict=False)]))


INTERVAL = intervals(1).filter(bool).map(lambda found: found[0])


def ids(least: int = 0, most: int = 3) -> st.SearchStrategy[list[str]]:
    return st.lists(TEXTS, min_size=least, max_size=most, unique=True)


def some_of(known: list[str]) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(known), unique=True, max_size=3) if known else st.just([])


def one_or_null(known: list[str]) -> st.SearchStrategy[str | None]:
    return st.none() | st.sampled_from(known) if known else st.none()


def _unit(id: str, places: list[str]) -> st.SearchStrategy[Document]:
    channels = ids(1).flatmap(
        lambda found: st.tuples(
            *(st.fixed_dictionaries({"id": st.just(one), "drives": st.lists(OUTPUTS, max_size=2)}) for one in found)
        ).map(list)
    )
    battery = st.fixed_dictionaries(
        {
            "capacity_wh": NUMBERS,
            "reserve_pct": st.integers(0, 100),
            "standby_w": NUMBERS,
            "draw_w": st.fixed_dictionaries(dict.fromkeys(["pads", "cups", "ultrasound", "ä\n"], NUMBERS)),
            "charge_w": NUMBERS,
        },
        optional={"start_pct": st.integers(0, 100), "pump_w": NUMBERS, "min_charge_min": NUMBERS},
    )
    return st.fixed_dictionaries(
        {
            "id": st.just(id),
            "channels": channels,
            "patients_at_once": st.integers(1, 9),
            "places": some_of(places),
        },
        optional={"name": TEXTS, "hours": intervals(), "battery": st.none() | battery},
    )


PLACED_PART = st.fixed_dictionaries(
    {
        "id": TEXTS,
        "start": TIMES,
        "unit": TEXTS,
        "place": TEXTS,
        "bay": TEXTS,
        "channels": st.dictionaries(TEXTS, st.lists(TEXTS, max_size=2), max_size=2),
        "items": st.dictionaries(TEXTS, st.lists(TEXTS, max_size=2), max_size=2),
        "hands": st.lists(st.none() | TEXTS, max_size=3),
    }
)


def placed_visits(most: int = 3) -> st.SearchStrategy[list[Document]]:
    visit = st.fixed_dictionaries(
        {"id": TEXTS, "therapist": st.none() | TEXTS, "parts": st.lists(PLACED_PART, min_size=1, max_size=2)}
    )
    return st.lists(visit, max_size=most, unique_by=lambda placed: str(placed["id"]))


@st.composite
def day_documents(draw: st.DrawFn) -> Document:
    """A right day file with a few of everything."""
    places, pools, staff, units = draw(ids()), draw(ids()), draw(ids()), draw(ids(1))
    bays, items = draw(ids(len(places), 6)), draw(ids(0, 4))
    open_at = draw(st.integers(0, 1439))
    optional: dict[str, Any] = {
        "step_min": st.sampled_from([1, 5, 10, 15]),
        "move_min": NUMBERS,
        "bay_turnover_min": NUMBERS,
        "published": placed_visits(2),
        "aims": st.lists(st.sampled_from(AIMS), unique=True),
    }
    required: dict[str, Any] = {
        "format": st.just("channelday-day/1"),
        "date": st.dates().map(lambda found: found.isoformat()),
        "open": st.just(clock(open_at)),
        "close": st.integers(open_at + 1, 1440).map(clock),
        "units": st.tuples(*(_unit(id, places) for id in units)).map(list),
        "applicators": st.tuples(
            *(
                st.fixed_dictionaries(
                    {"id": st.just(id), "items": st.just(items[i :: len(pools)]), "turnaround_min": NUMBERS},
                    optional={"name": TEXTS, "fits": some_of(units)},
                )
                for i, id in enumerate(pools)
            )
        ).map(list),
        "places": st.tuples(
            *(
                st.fixed_dictionaries(
                    {"id": st.just(id), "bays": st.just(bays[i :: len(places)])},
                    optional={"name": TEXTS, "tags": st.lists(TEXTS, max_size=2)},
                )
                for i, id in enumerate(places)
            )
        ).map(list),
        "staff": st.tuples(*(_member(id) for id in staff)).map(list),
        "visits": ids().flatmap(
            lambda found: st.tuples(*(_visit(id, staff, units, pools, places, bays) for id in found)).map(list)
        ),
    }
    return draw(st.fixed_dictionaries(required, optional=optional))


def _member(id: str) -> st.SearchStrategy[Document]:
    due = st.fixed_dictionaries({"min": st.integers(1, 90), "between": INTERVAL})
    return st.fixed_dictionaries(
        {"id": st.just(id), "kind": st.sampled_from(["therapist", "assistant"]), "hours": intervals()},
        optional={
            "name": TEXTS,
            "skills": st.lists(TEXTS, max_size=2),
            "breaks": st.lists(due, max_size=2),
            "watch_free": st.integers(0, 9),
        },
    )


def _visit(
    id: str, staff: list[str], units: list[str], pools: list[str], places: list[str], bays: list[str]
) -> st.SearchStrategy[Document]:
    counts = st.integers(1, 4)
    phase = st.fixed_dictionaries(
        {
            "min": st.integers(1, 90),
            "hands": st.sampled_from(["therapist", "anyone", "nobody"]),
            "running": st.booleans(),
        }
    )
    part = st.fixed_dictionaries(
        {"id": TEXTS, "channels": st.dictionaries(OUTPUTS, counts, max_size=2)}
        | {"phases": st.lists(phase, min_size=1, max_size=3)},
        optional={
            "applicators": some_of(pools).map(lambda found: dict.fromkeys(found, 2)),
            "suction_kpa": st.none() | NUMBERS,
            "skill": st.none() | TEXTS,
            "units": some_of(units),
            "max_wait_min": st.none() | NUMBERS,
        },
    )
    fixed_part = st.fixed_dictionaries(
        {},
        optional={
            "start": TIMES,
            "unit": st.sampled_from(units),
            "channels": st.dictionaries(OUTPUTS, st.just([]), max_size=1),
            "items": some_of(pools).map(lambda found: {pool: [] for pool in found}),
        }
        | ({"place": st.sampled_from(places)} if places else {})
        | ({"bay": st.sampled_from(bays)} if places and bays else {}),
    )
    fixed = st.fixed_dictionaries(
        {}, optional={"therapist": one_or_null(staff), "parts": st.lists(fixed_part, max_size=1)}
    )
    return st.fixed_dictionaries(
        {
            "id": st.just(id),
            "patient": TEXTS,
            "parts": st.lists(part, min_size=1, max_size=2, unique_by=lambda found: str(found["id"])),
        },
        optional={
            "priority": st.integers(1, 9),
            "free": intervals(),
            "wish": st.none() | TIMES,
            "therapist_wish": one_or_null(staff),
            "therapist_must": one_or_null(staff),
            "place_tags": st.lists(TEXTS, max_size=2),
            "same_unit": st.booleans(),
            "fixed": st.none() | fixed,
        },
    )


@st.composite
def plan_documents(draw: st.DrawFn) -> Document:
    """A plan file of right shape, whatever it says."""
    rules = st.sampled_from(RULES)
    reason = st.fixed_dictionaries({"rule": rules, "text": TEXTS})
    status = draw(st.sampled_from(["optimal", "feasible", "infeasible"]))
    keys: dict[str, Any] = {
        "format": st.just("channelday-plan/1"),
        "date": st.dates().map(lambda found: found.isoformat()),
        "status": st.just(status),
        "visits": placed_visits(),
        "left_out": st.lists(st.fixed_dictionaries({"id": TEXTS, "reasons": st.lists(reason, max_size=2)}), max_size=2),
        "breaks": st.lists(st.fixed_dictionaries({"staff": TEXTS, "start": TIMES, "end": TIMES}), max_size=2),
        "scores": st.dictionaries(st.sampled_from(AIMS), NUMBERS),
        "bounds": st.dictionaries(st.sampled_from(AIMS), NUMBERS),
    }
    if status == "infeasible":
        clash = st.fixed_dictionaries({"id": TEXTS, "rules": st.lists(rules, max_size=2)})
        keys["conflict"] = st.lists(clash, max_size=2)
    return draw(st.fixed_dictionaries(keys))
