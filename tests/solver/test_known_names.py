"""Things that are alike get back the names that people know, and nothing else changes."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from random import Random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from solver.compose import plan_of
from solver.construct import construct
from solver.known_names import with_known_names
from solver.problem import Day
from solver.schedule import PlacedPart, PlacedVisit, Plan
from solver.search import solve
from solver.verify import verify
from solver.visits import Visit
from tests.bench.cases import Case
from tests.builders import (
    a_channel,
    a_day,
    a_part,
    a_place,
    a_plan,
    a_therapist,
    a_unit,
    a_visit,
    an_applicator,
    fixed,
    fixed_part,
    placed,
    placed_part,
    unattended,
    with_parts,
)
from tests.solver.small_days import small_days

RUN = a_part(unattended(30))


def a_day_of(*visits: Visit, bays: Sequence[str] = ("F1", "F2"), bay_turnover_min: int = 0) -> Day:
    """All on one unit of four channels that are alike, at one place."""
    channels = [a_channel(f"s{n}", "pads") for n in (1, 2, 3, 4)]
    return a_day(
        *visits,
        units=[a_unit(channels=channels, patients_at_once=4)],
        places=[a_place(bays=bays)],
        staff=[a_therapist(watch_free=4, watch_busy=4)],
        bay_turnover_min=bay_turnover_min,
    )


def on(visit: Visit, start: str, bay: str, channel: str) -> PlacedVisit:
    return placed(visit, start, bay=bay, channels={"pads": [channel]})


def names(plan: Plan) -> Iterator[tuple[object, ...]]:
    """Each name of the plan with the spot where it stands."""
    for visit in plan.visits:
        for part in visit.parts:
            yield visit.id, part.id, part.place, part.bay
            for kind, named in (("channels", part.channels), ("items", part.items)):
                for key, ids in named.items():
                    yield from ((visit.id, part.id, part.unit, kind, key, id) for id in ids)


def nameless(plan: Plan) -> Plan:
    """The plan without the names of bays, channels and items, but with how many there are."""

    def bare(part: PlacedPart) -> PlacedPart:
        return replace(
            part,
            bay="",
            channels={output: ("",) * len(ids) for output, ids in part.channels.items()},
            items={pool: ("",) * len(ids) for pool, ids in part.items.items()},
        )

    return replace(plan, visits=with_parts(plan.visits, bare))


def scrambled(day: Day, plan: Plan, rng: Random) -> tuple[PlacedVisit, ...]:
    """The plan's visits, their bays, channels and items drawn anew; no rule need hold."""
    bays = {place.id: place.bays for place in day.places}
    channels = {unit.id: [channel.id for channel in unit.channels] for unit in day.units}
    items = {pool.id: pool.items for pool in day.applicators}

    def drawn(part: PlacedPart) -> PlacedPart:
        return replace(
            part,
            bay=rng.choice(bays[part.place]),
            channels={key: tuple(rng.sample(channels[part.unit], len(ids))) for key, ids in part.channels.items()},
            items={pool: tuple(rng.sample(items[pool], len(ids))) for pool, ids in part.items.items()},
        )

    return with_parts(plan.visits, drawn)


def test_two_who_traded_bays_and_channels_get_their_own_back() -> None:
    one, other = a_visit(RUN, id="V1"), a_visit(RUN, id="V2")
    day = a_day_of(one, other)
    known = [on(one, "09:00", "F1", "s3"), on(other, "09:00", "F2", "s1")]
    found = a_plan(day, on(one, "09:00", "F2", "s1"), on(other, "09:00", "F1", "s2"))
    assert list(with_known_names(day, found, known).visits) == known


def test_whoever_is_met_trades_along_and_is_met_in_turn() -> None:
    """V1 to V4 overlap like tiles, so that F1 and F2 can only be exchanged for all of them."""
    visits = [a_visit(RUN, id=f"V{n}") for n in (1, 2, 3, 4)]
    day = a_day_of(*visits)
    starts, bays = ["09:00", "09:20", "09:40", "10:00"], ["F1", "F2", "F1", "F2"]
    found = [
        on(visit, at, bay, "s1" if bay == "F1" else "s2") for visit, at, bay in zip(visits, starts, bays, strict=True)
    ]
    known = [on(visits[0], "09:00", "F2", "s1")]
    named = with_known_names(day, a_plan(day, *found), known)
    assert verify(day, named) == []
    assert [visit.parts[0].bay for visit in named.visits] == ["F2", "F1", "F2", "F1"]


def test_an_item_is_not_traded_before_it_is_cleaned_and_dry() -> None:
    """Each pair of stays shares no minute, but the turnaround of the first reaches into the second."""
    treated = a_part(unattended(20), applicators={"heads": 1})
    one, other = a_visit(treated, id="V1"), a_visit(treated, id="V2")
    day = replace(a_day_of(one, other), applicators=(an_applicator("heads", 2, turnaround_min=15),))
    found = [placed(one, "09:00", items={"heads": ["heads-1"]}), placed(other, "09:30", items={"heads": ["heads-2"]})]
    known = [placed(one, "09:00", items={"heads": ["heads-2"]})]
    named = with_known_names(day, a_plan(day, *found), known)
    assert verify(day, named) == []
    assert [visit.parts[0].items["heads"] for visit in named.visits] == [("heads-2",), ("heads-1",)]


@pytest.mark.parametrize("fixes", [fixed_part(bay="F1"), fixed_part(channels={"pads": ["s1"]})])
def test_a_fixed_name_is_never_traded(fixes: object) -> None:
    one, other = a_visit(RUN, id="V1", fixed=fixed(fixes)), a_visit(RUN, id="V2")  # type: ignore[arg-type]
    day = a_day_of(one, other)
    found = a_plan(day, on(one, "09:00", "F1", "s1"), on(other, "09:00", "F2", "s2"))
    known = [on(one, "09:00", "F2", "s2"), on(other, "09:00", "F1", "s1")]
    named = with_known_names(day, found, known)
    assert verify(day, named) == []
    assert (named.visits[0].parts[0].bay == "F1") is (fixes == fixed_part(bay="F1"))


def test_who_did_not_move_comes_before_two_who_did() -> None:
    """V1 has F1 back, although the two that moved into its time knew F1 as well."""
    stayed, moved, other = (a_visit(RUN, id=f"V{n}") for n in (1, 2, 3))
    day = a_day_of(stayed, moved, other)
    found = a_plan(day, on(stayed, "09:20", "F2", "s2"), on(moved, "09:00", "F1", "s1"), on(other, "09:40", "F1", "s1"))
    known = [on(stayed, "09:20", "F1", "s1"), on(moved, "10:00", "F1", "s1"), on(other, "11:00", "F1", "s1")]
    bays = {visit.id: visit.parts[0].bay for visit in with_known_names(day, found, known).visits}
    assert bays == {"V1": "F1", "V2": "F2", "V3": "F2"}


def test_stays_of_one_visit_keep_the_bay_that_they_share() -> None:
    """Between two visits the bay would have to be made ready."""
    visit = a_visit(replace(RUN, id="first"), replace(RUN, id="then"), id="V1", same_unit=False)
    day = a_day_of(visit, bay_turnover_min=10)
    found = a_plan(day, on(visit, "09:00", "F1", "s1"))
    there = [placed_part(part, at, bay="F2") for part, at in zip(visit.parts, ("10:00", "09:30"), strict=True)]
    named = with_known_names(day, found, [placed(visit, *there)])
    assert [part.bay for part in named.visits[0].parts] == ["F2", "F2"]


def test_a_stay_is_not_given_an_item_again_that_another_has_between() -> None:
    """V1 has one head first and another last; with the same name twice it would hold the head that V2 has between."""
    first, last = (replace(RUN, id=id, applicators={"heads": 1}) for id in ("first", "last"))
    visit = a_visit(first, replace(RUN, id="between"), last, id="V1")
    other = a_visit(last, id="V2")
    day = replace(a_day_of(visit, other), applicators=(an_applicator("heads", 2, turnaround_min=0),))

    def v1(*heads: str) -> PlacedVisit:
        items = [{"heads": [heads[0]]}, {}, {"heads": [heads[1]]}]
        starts = ["09:00", "09:30", "10:00"]
        return placed(
            visit, *(placed_part(part, at, items=of) for part, at, of in zip(visit.parts, starts, items, strict=True))
        )

    between = placed(other, "09:30", bay="F2", channels={"pads": ["s2"]}, items={"heads": ["heads-1"]})
    found = a_plan(day, v1("heads-1", "heads-2"), between)
    assert verify(day, found) == []
    assert with_known_names(day, found, [v1("heads-1", "heads-1")]) == found


def test_the_same_names_in_another_order_are_the_same_plan() -> None:
    """Found on s1 and s2 as s2 and s3 were told: once they are those two, they stand as they were told."""
    visit = a_visit(replace(RUN, channels={"pads": 2}), id="V1")
    day = a_day_of(visit)
    known = placed(visit, "09:00", channels={"pads": ["s2", "s3"]})
    for channels in (["s1", "s2"], ["s3", "s2"], ["s4", "s1"]):
        found = a_plan(day, placed(visit, "09:00", channels={"pads": channels}))
        assert list(with_known_names(day, found, [known]).visits) == [known]


def test_channels_of_another_unit_are_not_the_known_ones() -> None:
    """The unit’s own channel may have the same name; there it means nothing that the patient was on s2 elsewhere."""
    one = a_visit(RUN, id="V1")
    day = a_day_of(one)
    day = replace(day, units=(*day.units, replace(day.units[0], id="U2")))
    found = a_plan(day, on(one, "09:00", "F1", "s1"))
    elsewhere = placed(one, "09:00", unit="U2", channels={"pads": ["s2"]})
    assert with_known_names(day, found, [elsewhere]) == found


@given(small_days(), st.randoms(use_true_random=False))
def test_only_names_change_to_no_fewer_known_ones_and_every_rule_still_holds(day: Day, rng: Random) -> None:
    ledger = construct(day)
    assume(ledger is not None and ledger.visits)
    assert ledger is not None
    plan = plan_of(day, ledger.visits, ledger.breaks)
    known = scrambled(day, plan, rng)
    named = with_known_names(day, plan, known)
    assert verify(day, named) == verify(day, plan)
    assert nameless(named) == nameless(plan)
    assert named.visits == with_known_names(day, named, known).visits
    wanted = Counter(names(replace(plan, visits=known)))
    assert (wanted & Counter(names(named))).total() >= (wanted & Counter(names(plan))).total()


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_plan_named_anew_throughout_is_known_again(seed: int) -> None:
    """On days of 45 visits: each name of a bay or an item is another's, all along the day."""
    day = Case(kind="day", name="M", seed=seed, seconds=1).day()
    free = replace(day, visits=tuple(replace(visit, fixed=None) for visit in day.visits))
    ledger = construct(free)
    assert ledger is not None
    plan = plan_of(free, ledger.visits, ledger.breaks)
    turned = {
        id: other
        for ids in (*(place.bays for place in day.places), *(pool.items for pool in day.applicators))
        for id, other in zip(ids, (*ids[1:], ids[0]), strict=True)
    }

    def anew(part: PlacedPart) -> PlacedPart:
        items = {pool: tuple(turned[id] for id in ids) for pool, ids in part.items.items()}
        return replace(part, bay=turned[part.bay], items=items)

    other = replace(plan, visits=with_parts(plan.visits, anew))
    named = with_known_names(free, other, plan.visits)
    assert Counter(names(named)) == Counter(names(plan))


def test_a_solved_day_keeps_the_bays_that_were_told() -> None:
    """Two are told of each other’s bay of what the search gives first; nothing else of its plan changes."""
    one, other = a_visit(RUN, id="V1", wish="09:00"), a_visit(RUN, id="V2", wish="09:00")
    day = a_day_of(one, other)
    plain = solve(day, seconds=5)
    crossed = tuple(
        replace(visit, parts=(replace(visit.parts[0], bay=rest.parts[0].bay),))
        for visit, rest in zip(plain.visits, reversed(plain.visits), strict=True)
    )
    again = solve(replace(day, published=crossed), seconds=5)
    assert plain.visits[0].parts[0].bay != crossed[0].parts[0].bay
    assert [visit.parts[0].bay for visit in again.visits] == [visit.parts[0].bay for visit in crossed]
