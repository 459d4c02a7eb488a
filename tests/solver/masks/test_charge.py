"""A battery reckoned around one more stay, against the same battery reckoned through the whole day."""

from hypothesis import given, settings
from hypothesis import strategies as st

from solver.clinic import Battery
from solver.clock import Interval
from solver.masks.bits import minutes_of, span
from solver.masks.charge import Charge, draw_of
from solver.masks.energy import Load, keeps_reserve, load_of
from solver.visits import Part
from tests.builders import a_battery, a_part, set_up, still, unattended

OPEN, CLOSE = 540, 720

batteries = st.builds(
    a_battery,
    capacity_wh=st.integers(4, 12),
    start_pct=st.integers(10, 100),
    reserve_pct=st.integers(1, 50),
    standby_w=st.integers(0, 6),
    pump_w=st.integers(0, 8),
    charge_w=st.integers(0, 30),
    min_charge_min=st.integers(0, 20),
)
parts = st.builds(
    lambda running, pump: a_part(set_up(3), unattended(running), still(2), suction_kpa=20 if pump else None),
    st.integers(5, 30),
    st.booleans(),
)


@st.composite
def stays(draw: st.DrawFn) -> list[tuple[int, str, Part]]:
    """On one unit: some at the same time at the same place, others a while after those before."""
    found: list[tuple[int, str, Part]] = []
    start, place, end = OPEN, "front", OPEN
    for _ in range(draw(st.integers(0, 5))):
        if draw(st.booleans()):
            start, place = end + draw(st.integers(0, 40)), draw(st.sampled_from(("front", "back")))
        part = draw(parts)
        found.append((start, place, part))
        end = max(end, start + part.minutes)
    return found


def the_load(battery: Battery, start: int, place: str, part: Part) -> Load:
    return load_of(battery, Interval(start, start + part.minutes), place, [(part, start)])


@settings(max_examples=300, deadline=None, derandomize=True)
@given(batteries, stays(), parts, st.sampled_from(("front", "back")), st.integers(0, 10))
def test_one_more_stay_is_reckoned_as_in_the_whole_day(
    battery: Battery, there: list[tuple[int, str, Part]], part: Part, place: str, move_min: int
) -> None:
    present = [the_load(battery, *stay) for stay in there]
    charge = Charge(battery, OPEN, move_min, present)
    assert charge.lasts == keeps_reserve(battery, OPEN, move_min, present)
    apart = span(OPEN, CLOSE)
    for start, other, earlier in there:
        if other != place:
            apart &= ~span(start - part.minutes - move_min, start + earlier.minutes + move_min + 1)
    lasting = [
        start
        for start in minutes_of(apart)
        if keeps_reserve(battery, OPEN, move_min, [*present, the_load(battery, start, place, part)])
    ]
    assert list(minutes_of(charge.lasting(place, draw_of([(part, 0)]), apart))) == lasting
