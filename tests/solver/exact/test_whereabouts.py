"""Where a unit is, slot by slot: the exact model allows what keeps the rule ``place``, and nothing else."""

from dataclasses import replace

from hypothesis import event, given, settings
from hypothesis import strategies as st

from solver.problem import Day
from solver.schedule import PlacedVisit, Plan
from solver.verify import verify
from solver.visits import Visit
from tests.builders import a_channel, a_day, a_part, a_place, a_plan, a_unit, a_visit, placed, placed_part, unattended
from tests.solver.exact.hinting import allowed

BAYS = {"front": "F", "back": "B", "hall": "H"}


def three_visits(step: int, opening: int, move_min: int, minutes: tuple[int, ...]) -> Day:
    """Everybody has a bay at each place and a channel; only where the unit is can stand in the way."""
    first, second, third, fourth = (a_part(unattended(part)) for part in minutes)
    visits = [a_visit(first, second, id="V0"), a_visit(third, id="V1"), a_visit(fourth, id="V2")]
    day = a_day(
        *visits,
        close="11:00",
        step_min=step,
        move_min=move_min,
        units=[a_unit(channels=[a_channel(f"c{n}") for n in range(3)], patients_at_once=3, places=list(BAYS))],
        places=[a_place(place, [f"{bay}{n}" for n in range(3)]) for place, bay in BAYS.items()],
    )
    return replace(day, open=opening)


@st.composite
def plans(draw: st.DrawFn, day: Day) -> Plan:
    """The visits on the grid, at any places; a wait between the parts of the first."""
    grid = range(-(-day.open // day.step_min) * day.step_min, day.close, day.step_min)

    def one(number: int, visit: Visit) -> PlacedVisit:
        place = draw(st.sampled_from(list(BAYS)))
        start = draw(st.sampled_from(grid))
        parts = []
        for part in visit.parts:
            parts.append(
                placed_part(
                    part,
                    start,
                    place=place,
                    bay=f"{BAYS[place]}{number}",
                    channels={"pads": [f"c{number}"]},
                )
            )
            least = -(-(start + part.minutes) // day.step_min)
            start = (least + draw(st.integers(0, 2))) * day.step_min
        return placed(visit, *parts)

    return a_plan(day, *(one(number, visit) for number, visit in enumerate(day.visits)))


@settings(max_examples=400, deadline=None, derandomize=True)
@given(
    st.data(),
    st.sampled_from([1, 5, 15]),
    st.integers(540, 548),
    st.integers(0, 17),
    st.tuples(*[st.integers(1, 25)] * 4),
)
def test_the_model_allows_what_keeps_the_rule_and_nothing_else(
    data: st.DataObject, step: int, opening: int, move_min: int, minutes: tuple[int, ...]
) -> None:
    day = three_visits(step, opening, move_min, minutes)
    plan = data.draw(plans(day))
    broken = {breach.rule for breach in verify(day, plan)}
    event(f"breaks {sorted(broken)}")
    if broken <= {"place"}:
        assert allowed(day, plan) == (not broken)
