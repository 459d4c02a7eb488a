"""Invented days for the bench, each the same for the same size and seed. No clinic, patient or figure is real."""

from dataclasses import replace
from datetime import date
from random import Random

from solver.clock import Interval
from solver.construct import construct
from solver.problem import Day
from solver.schedule import PlacedVisit
from solver.visits import Fixed, FixedPart
from tests.bench.asked import visits_of
from tests.bench.clinics import applicators_of, places_of, staff_of, units_of
from tests.bench.sizes import SIZES

DATE = date(2031, 3, 4)
FIXED_SHARE = 0.1
PRESSED_MIN = 30
NEAR_MIN = 30
"""Fixed visits are drawn from those that a first plan has at most so far from their wish."""


def bench_day(size: str, seed: int, crowded: bool = False) -> Day:
    """A day of the size (a key of SIZES) with every feature of a day file, but for what patients were told.

    ``crowded``: the same day with a therapist (even seeds) or a unit (odd seeds) short, and with patients who all wish
    for one of the two ends of the day and come near their wish or not at all, so that visits must be left out.
    Of what is fixed, all is from one right plan of the day, so it can all stand.
    """
    figures, random = SIZES[size], Random(f"{size} {seed}")
    places = places_of(figures)
    units = units_of(figures, places, random)
    staff = staff_of(figures, random)
    day = Day(
        date=DATE,
        open=figures.open,
        close=figures.close,
        step_min=5,
        move_min=5,
        bay_turnover_min=5,
        units=units,
        applicators=applicators_of(figures, units),
        places=places,
        staff=staff,
        visits=visits_of(figures, staff, random),
    )
    if crowded:
        day = _pressed(_without_therapist(day) if seed % 2 == 0 else _without_unit(day), random)
    return _with_fixed(day, random)


def _without_therapist(day: Day) -> Day:
    """The first therapist, who has every skill, is away; nobody wishes for them any more."""
    away = day.staff[0].id

    def other(id: str | None) -> str | None:
        return None if id == away else id

    visits = tuple(
        replace(visit, therapist_wish=other(visit.therapist_wish), therapist_must=other(visit.therapist_must))
        for visit in day.visits
    )
    return replace(day, staff=day.staff[1:], visits=visits)


def _without_unit(day: Day) -> Day:
    """The last unit is away, and out of the lists of units that applicators fit."""
    units = day.units[:-1]
    left = {unit.id for unit in units}
    pools = tuple(
        replace(pool, fits=None if pool.fits is None else tuple(id for id in pool.fits if id in left))
        for pool in day.applicators
    )
    return replace(day, units=units, applicators=pools)


def _pressed(day: Day, random: Random) -> Day:
    """Wishes are for the two ends of the day, and the visit may begin half an hour before or after its wish."""
    visits = []
    for visit in day.visits:
        if visit.wish is not None:
            early = random.random() < 0.5
            wish = day.open + random.randrange(0, 76, 15) if early else day.close - random.randrange(60, 136, 15)
            end = wish + sum(part.minutes for part in visit.parts)
            free = Interval(max(day.open, wish - PRESSED_MIN), min(day.close, end + PRESSED_MIN))
            visit = replace(visit, wish=wish, free=(free,))
        visits.append(visit)
    return replace(day, visits=tuple(visits))


def _with_fixed(day: Day, random: Random) -> Day:
    """The day with a tenth of its visits fixed as a first plan has them: wholly, or in where and when they begin.

    Drawn again until what is fixed and the breaks find room one after the other: hands, and what else is left open,
    may then be chosen otherwise than in that plan.
    """
    ledger = construct(day)
    assert ledger is not None, "without fixed visits there is room for the breaks"
    near = [
        visit.id
        for visit in day.visits
        if visit.id in ledger.visits
        and (visit.wish is None or abs(ledger.visits[visit.id].parts[0].start - visit.wish) <= NEAR_MIN)
    ]
    while True:
        chosen = random.sample(near, max(1, round(len(day.visits) * FIXED_SHARE)))
        fixed = {id: _fixed(ledger.visits[id], wholly=n % 3 == 0) for n, id in enumerate(chosen)}
        visits = tuple(replace(visit, fixed=fixed.get(visit.id)) for visit in day.visits)
        if construct(replace(day, visits=tuple(visit for visit in visits if visit.fixed))) is not None:
            return replace(day, visits=visits)


def _fixed(placed: PlacedVisit, *, wholly: bool) -> Fixed:
    if wholly:
        return fixed_wholly(placed)
    first = placed.parts[0]
    return Fixed(
        therapist=placed.therapist,
        therapist_given=True,
        parts=(FixedPart(start=first.start, unit=first.unit, place=first.place, bay=first.bay),),
    )


def fixed_wholly(placed: PlacedVisit) -> Fixed:
    """Everything that can be fixed of a visit, as it is placed."""
    return Fixed(
        therapist=placed.therapist,
        therapist_given=True,
        parts=tuple(
            FixedPart(
                start=part.start,
                unit=part.unit,
                place=part.place,
                bay=part.bay,
                channels=part.channels,
                items=part.items,
            )
            for part in placed.parts
        ),
    )
