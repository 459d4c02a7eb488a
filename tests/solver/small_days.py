"""Hypothesis strategies for tiny days that are nasty: each draws a few features of the contract and makes them bind.

The base is one unit of two channels in one place, one therapist, and two to four visits that want about the same
time. Each feature below adds its own trouble to that. Lengths of phases are off the grid as often as on it.
"""

from collections.abc import Set
from dataclasses import dataclass, replace
from datetime import date
from typing import get_args

from hypothesis import strategies as st

from solver.clinic import Applicator, Battery, Break, Channel, Place, StaffMember, Unit
from solver.clock import Interval
from solver.names import AIMS, AimName, Hands, StaffKind
from solver.problem import Day
from solver.schedule import PlacedPart, PlacedVisit
from solver.visits import Fixed, FixedPart, Part, Phase, Visit

FEATURES = (
    "aims", "applicators", "battery", "bays", "breaks", "combined", "fixed", "free", "hours", "parts", "patients",
    "places", "priorities", "published", "roaming", "same_patient", "skills", "staff", "suction", "therapist", "units",
    "watch",
)  # fmt: skip
"""What a small day may have besides its base."""

ROOMY = frozenset({"applicators", "battery", "bays", "combined", "patients", "places", "suction", "units"})
"""Features that bind between visits that run side by side, so where the therapist is needed for little of them."""

FIXABLE = ("start", "unit", "place", "bay", "channels", "items", "therapist")
DATE = date(2031, 3, 4)
STEPS_OF_DAY = 7
"""Length of a small day in grid steps."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """What the lists of a day are drawn within."""

    has: Set[str]
    step: int
    open: int
    close: int

    def time(self, draw: st.DrawFn) -> int:
        """A time of the day on the grid, or now and then a minute off it."""
        steps = (self.close - self.open) // self.step
        off_grid = draw(st.sampled_from((0, 0, 0, 2)))
        return min(self.close, self.open + draw(st.integers(0, steps)) * self.step + off_grid)

    def interval(self, draw: st.DrawFn, least: int = 1) -> Interval:
        start = draw(st.integers(0, STEPS_OF_DAY - least))
        end = draw(st.integers(start + least, STEPS_OF_DAY))
        return Interval(self.open + start * self.step, self.open + end * self.step)

    def intervals(self, draw: st.DrawFn) -> tuple[Interval, ...]:
        """All of the day but a few minutes; or two intervals that touch; or two with a gap."""
        middle = self.open + draw(st.integers(2, STEPS_OF_DAY - 2)) * self.step
        gap = draw(st.sampled_from((0, 0, 3, self.step)))
        late = draw(st.sampled_from((0, 0, self.step)))
        halves = (Interval(self.open + late, middle), Interval(middle + gap, self.close))
        return draw(st.sampled_from((halves, halves[:1], halves[1:])))


@st.composite
def small_days(draw: st.DrawFn, focus: str | None = None) -> Day:
    """A tiny day with the feature in focus (None: any) and up to three others, all of FEATURES."""
    first = draw(st.sampled_from(FEATURES)) if focus is None else focus
    has: Set[str] = {first, *draw(st.lists(st.sampled_from(FEATURES), max_size=3))}
    step = draw(st.sampled_from((5, 10, 15)))
    opens = 540 + draw(st.sampled_from((0, 0, 2)))
    frame = _Frame(has=has, step=step, open=opens, close=540 + STEPS_OF_DAY * step)
    places = _places(draw, frame)
    units = _units(draw, frame, places)
    pools = _applicators(draw, frame, units)
    staff = _staff(draw, frame)
    visits = _visits(draw, frame, units, pools, staff)
    if "fixed" in has:
        visits = _fix(draw, frame, visits, units, places, pools, staff)
    return Day(
        date=DATE,
        step_min=step,
        open=frame.open,
        close=frame.close,
        move_min=draw(st.sampled_from((0, 5, 8, 10))) if "places" in has else 0,
        bay_turnover_min=draw(st.sampled_from((3, 5, 10))) if "bays" in has else 0,
        units=units,
        applicators=pools,
        places=places,
        staff=staff,
        visits=visits,
        published=_published(draw, frame, visits) if "published" in has else (),
        aims=_aims(draw) if "aims" in has else AIMS,
    )


def _places(draw: st.DrawFn, frame: _Frame) -> tuple[Place, ...]:
    bays = 1 if "places" in frame.has else draw(st.integers(1, 2)) if "bays" in frame.has else 2
    front = Place(id="front", bays=tuple(f"F{i}" for i in range(1, bays + 1)), tags=("step-free",))
    return (front, Place(id="back", bays=("B1",))) if "places" in frame.has else (front,)


def _units(draw: st.DrawFn, frame: _Frame, places: tuple[Place, ...]) -> tuple[Unit, ...]:
    first = [("a", ("pads", "cups")), ("b", ("pads",))]
    if draw(st.booleans()):
        first.reverse()
    if frame.has & {"combined", "suction"}:
        first = [("a", ("pads", "cups")), ("b", ("cups", "pads"))]
    if "combined" in frame.has:
        first.append(("u", ("ultrasound",)))
    layouts = [first]
    if frame.has & {"units", "roaming"}:
        layouts.append([("c", ("pads", "cups"))])
    return tuple(
        Unit(
            id=f"U{i}",
            channels=tuple(Channel(id=id, drives=drives) for id, drives in layout),
            patients_at_once=draw(st.integers(1, 2)) if "patients" in frame.has else 3,
            places=tuple(place.id for place in places) if i == 1 else (places[-1].id,),
            hours=frame.intervals(draw) if "hours" in frame.has else None,
            battery=_battery(draw, frame, layout) if "battery" in frame.has else None,
        )
        for i, layout in enumerate(layouts, start=1)
    )


def _battery(draw: st.DrawFn, frame: _Frame, layout: list[tuple[str, tuple[str, ...]]]) -> Battery:
    """A battery that lasts for about one visit of the day, with or without a chance to charge in between."""
    outputs = sorted({output for _, drives in layout for output in drives})
    return Battery(
        capacity_wh=frame.step // 5 * draw(st.integers(2, 4)),
        start_pct=draw(st.sampled_from((20, 35, 50, 67, 100))),
        reserve_pct=draw(st.sampled_from((0, 10, 33, 40))),
        standby_w=draw(st.integers(0, 2)),
        draw_w={output: draw(st.integers(4, 14)) for output in outputs},
        pump_w=draw(st.sampled_from((0, 6))),
        charge_w=draw(st.sampled_from((0, 5, 12))),
        min_charge_min=draw(st.sampled_from((1, frame.step, frame.step + 2, 3 * frame.step))),
    )


def _applicators(draw: st.DrawFn, frame: _Frame, units: tuple[Unit, ...]) -> tuple[Applicator, ...]:
    if "applicators" not in frame.has:
        return ()
    return (
        Applicator(
            id="sets",
            items=tuple(f"set-{i}" for i in range(1, draw(st.integers(1, 2)) + 1)),
            turnaround_min=draw(st.sampled_from((0, 4, frame.step, 2 * frame.step))),
            fits=draw(st.sampled_from((None, None, (units[-1].id,)))),
        ),
    )


def _staff(draw: st.DrawFn, frame: _Frame) -> tuple[StaffMember, ...]:
    several = bool(frame.has & {"staff", "therapist", "skills"})
    kinds: list[StaffKind] = ["therapist"]
    if several:
        kinds.append(draw(st.sampled_from(get_args(StaffKind))))
    watch = draw(st.sampled_from(((1, 0), (1, 1), (2, 0), (2, 1)))) if "watch" in frame.has else (3, 3)
    return tuple(
        StaffMember(
            id=f"S{i}",
            kind=kind,
            skills=draw(st.sampled_from(((), ("pads",), ("cups", "pads")))) if "skills" in frame.has else (),
            hours=frame.intervals(draw) if "staff" in frame.has else (Interval(frame.open, frame.close),),
            breaks=_breaks(draw, frame) if "breaks" in frame.has and i == 1 else (),
            watch_free=watch[0] if i == 1 else min(watch[0], 1),
            watch_busy=watch[1] if i == 1 else 0,
        )
        for i, kind in enumerate(kinds, start=1)
    )


def _breaks(draw: st.DrawFn, frame: _Frame) -> tuple[Break, ...]:
    breaks = []
    for _ in range(draw(st.integers(1, 2))):
        minutes = draw(st.sampled_from((frame.step, frame.step + 2, 2 * frame.step)))
        between = frame.interval(draw, least=3)
        early, late = draw(st.sampled_from(((0, 0), (0, 0), (30, 0), (0, 30))))
        breaks.append(Break(minutes=minutes, between=Interval(between.start - early, between.end + late)))
    return tuple(breaks)


def _visits(
    draw: st.DrawFn,
    frame: _Frame,
    units: tuple[Unit, ...],
    pools: tuple[Applicator, ...],
    staff: tuple[StaffMember, ...],
) -> tuple[Visit, ...]:
    members: tuple[str | None, ...] = (None, *(member.id for member in staff))
    visits = []
    for i in range(1, draw(st.sampled_from((3, 3, 3, 2, 2, 4))) + 1):
        two_parts = bool(frame.has & {"parts", "roaming"}) and i == 1
        roaming = "roaming" in frame.has and two_parts
        parts = tuple(
            _part(draw, frame, f"p{j}", units, pools, short=two_parts) for j in range(1, 3 if two_parts else 2)
        )
        visits.append(
            Visit(
                id=f"V{i}",
                patient="P1" if "same_patient" in frame.has and i <= 2 else f"Q{i}",
                priority=draw(st.integers(1, 3)) if "priorities" in frame.has else 1,
                free=_free(draw, frame) if "free" in frame.has else None,
                wish=draw(st.sampled_from((None, frame.open + frame.step, frame.open + 3 * frame.step + 1))),
                therapist_wish=draw(st.sampled_from(members)) if "therapist" in frame.has else None,
                therapist_must=draw(st.sampled_from((None, *members))) if "therapist" in frame.has else None,
                place_tags=draw(st.sampled_from(((), ("step-free",)))) if "places" in frame.has else (),
                same_unit=not (roaming and draw(st.sampled_from((True, True, False)))),
                parts=parts,
            )
        )
    return tuple(visits)


def _free(draw: st.DrawFn, frame: _Frame) -> tuple[Interval, ...]:
    return draw(st.sampled_from(((frame.interval(draw, least=3),), frame.intervals(draw))))


def _part(
    draw: st.DrawFn, frame: _Frame, id: str, units: tuple[Unit, ...], pools: tuple[Applicator, ...], short: bool
) -> Part:
    wanted: list[dict[str, int]] = [{"pads": 1}, {"cups": 1}, {"pads": 2}]
    if "suction" in frame.has:
        wanted = [{"pads": 1}, {"cups": 1}]
    if "combined" in frame.has:
        wanted += [{"pads": 1, "cups": 1}, {"ultrasound": 1}, {"ultrasound": 1, "pads": 1}, {}]
    channels = draw(st.sampled_from(wanted[:2] if short else wanted))
    pool = pools[0] if pools and draw(st.sampled_from((True, True, False))) else None
    return Part(
        id=id,
        channels=channels,
        applicators={} if pool is None else {pool.id: draw(st.integers(1, len(pool.items)))},
        suction_kpa=draw(st.sampled_from((20, 30, 40, None))) if "suction" in frame.has else None,
        skill=draw(st.sampled_from((None, "pads", "cups"))) if "skills" in frame.has else None,
        phases=_phases(draw, frame, short),
        units=draw(st.sampled_from((None, None, (units[-1].id,)))) if len(units) > 1 else None,
        max_wait_min=draw(st.sampled_from((None, 0, 2, 4, frame.step, frame.step + 1))),
    )


def _phases(draw: st.DrawFn, frame: _Frame, short: bool) -> tuple[Phase, ...]:
    """Set-up, treatment and take-down in one of several patterns, with the hands that each needs."""
    step = frame.step
    long = draw(st.sampled_from((step - 2, step))) if short else draw(st.sampled_from((step, 2 * step - 1, 2 * step)))
    few = draw(st.sampled_from((1, 2, step - 1)))
    helper: Hands = "anyone" if frame.has & {"staff", "skills", "therapist"} else "therapist"
    attended = (Phase(minutes=long, hands="therapist", running=True),)
    set_up = (Phase(minutes=few, hands="therapist", running=False), Phase(minutes=long, hands="nobody", running=True))
    take_down = (Phase(minutes=long, hands="nobody", running=True), Phase(minutes=few, hands=helper, running=False))
    helped = (Phase(minutes=few, hands=helper, running=True), Phase(minutes=long, hands="nobody", running=False))
    alone = (Phase(minutes=long + few, hands="nobody", running=True),)
    hands_off = draw(st.sampled_from((True, True, True, False)))
    if hands_off and frame.has & ROOMY:
        return draw(st.sampled_from((set_up, alone)))
    return draw(st.sampled_from((attended, set_up, set_up, take_down, helped, alone)))


def _fix(
    draw: st.DrawFn,
    frame: _Frame,
    visits: tuple[Visit, ...],
    units: tuple[Unit, ...],
    places: tuple[Place, ...],
    pools: tuple[Applicator, ...],
    staff: tuple[StaffMember, ...],
) -> tuple[Visit, ...]:
    """One or two of the visits with some of their values fixed; now and then so that they cannot stand."""
    count = draw(st.integers(1, 2))
    fixed = []
    for visit in visits[-count:]:
        unit = draw(st.sampled_from(units))
        place = next(place for place in places if place.id in unit.places)
        part = visit.parts[0]
        able = {
            output: [channel.id for channel in unit.channels if output in channel.drives] for output in part.channels
        }
        items = {
            id: tuple(draw(st.permutations(pool.items))[:need])
            for pool in pools
            for id, need in part.applicators.items()
        }
        what = draw(st.sets(st.sampled_from(FIXABLE), max_size=3))
        enough = all(len(able[output]) >= need for output, need in part.channels.items())
        first = FixedPart(
            start=540 + draw(st.integers(0, 4)) * frame.step if "start" in what else None,
            unit=unit.id if what & {"unit", "channels"} else None,
            place=place.id if "place" in what else None,
            bay=draw(st.sampled_from(place.bays)) if "bay" in what else None,
            channels={output: tuple(able[output][-need:]) for output, need in part.channels.items()}
            if "channels" in what and enough
            else None,
            items=items if "items" in what else None,
        )
        therapist = draw(st.sampled_from(staff)).id if visit.needs_therapist else None
        fixed.append(
            replace(
                visit,
                fixed=Fixed(
                    therapist=therapist if "therapist" in what else None,
                    therapist_given="therapist" in what,
                    parts=(first,) if what else (),
                ),
            )
        )
    return (*visits[:-count], *fixed)


def _published(draw: st.DrawFn, frame: _Frame, visits: tuple[Visit, ...]) -> tuple[PlacedVisit, ...]:
    """What patients were told: off the grid now and then, on a unit or by a therapist that may be gone."""
    told = []
    for visit in visits:
        if draw(st.sampled_from((True, True, False))):
            start, unit = frame.time(draw), draw(st.sampled_from(("U1", "U1", "U2", "gone")))
            therapist = draw(st.sampled_from(("S1", "S2", None)))
            parts = tuple(
                PlacedPart(id=part.id, start=start, unit=unit, place="front", bay="F1", channels={}, items={}, hands=())
                for part in visit.parts
            )
            told.append(PlacedVisit(id=visit.id, therapist=therapist, parts=parts))
    return tuple(told)


def _aims(draw: st.DrawFn) -> tuple[AimName, ...]:
    """The aims in any order, or some of them, `placed` more often than not among them."""
    order = tuple(draw(st.permutations(AIMS)))
    kept = order[: draw(st.integers(2, len(order)))]
    return kept if "placed" in kept or draw(st.booleans()) else ("placed", *kept)
