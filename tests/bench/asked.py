"""Invented visits for the bench: what patients are treated with, when they wish to come and whom they wish for."""

from collections.abc import Callable
from dataclasses import replace
from random import Random

from solver.clinic import StaffMember
from solver.clock import Interval
from solver.names import Hands
from solver.visits import Part, Phase, Visit
from tests.bench.sizes import Size

Parts = tuple[Part, ...]


def _part(
    id: str,
    channels: dict[str, int],
    applicators: dict[str, int],
    *phases: tuple[int, Hands, bool],
    suction_kpa: int | None = None,
    skill: str | None = None,
) -> Part:
    return Part(
        id=id,
        channels=channels,
        applicators=applicators,
        phases=tuple(Phase(minutes=minutes, hands=hands, running=running) for minutes, hands, running in phases),
        suction_kpa=suction_kpa,
        skill=skill,
    )


def _sound(random: Random, head: str = "heads") -> Part:
    run = random.randint(6, 12)
    phases: tuple[tuple[int, Hands, bool], ...] = (
        (3, "therapist", False),
        (run, "therapist", True),
        (2, "anyone", False),
    )
    return _part("sound", {"ultrasound": 1}, {head: 1}, *phases, skill="ultrasound")


def _pads(random: Random, regions: int = 1) -> Part:
    run = random.randint(15, 30)
    phases: tuple[tuple[int, Hands, bool], ...] = (
        (3 + regions, "anyone", False),
        (run, "nobody", True),
        (3, "anyone", False),
    )
    return _part("pads", {"pads": regions}, {"pad-sets": regions}, *phases)


def _cups(random: Random, kpa: int) -> Part:
    run = random.randint(12, 20)
    phases: tuple[tuple[int, Hands, bool], ...] = (
        (5, "therapist", False),
        (run, "nobody", True),
        (4, "therapist", False),
    )
    return _part("cups", {"cups": 1}, {"cup-sets": 1}, *phases, suction_kpa=kpa, skill="suction")


def _cups_and_pads(random: Random) -> Part:
    run, kpa = random.randint(15, 20), random.choice((20, 30))
    phases: tuple[tuple[int, Hands, bool], ...] = ((7, "therapist", False), (run, "nobody", True), (4, "anyone", False))
    held = {"cup-sets": 1, "pad-sets": 1}
    return _part("cups+pads", {"cups": 1, "pads": 1}, held, *phases, suction_kpa=kpa, skill="suction")


def _combined(random: Random) -> Part:
    run = random.randint(8, 12)
    phases: tuple[tuple[int, Hands, bool], ...] = (
        (4, "therapist", False),
        (run, "therapist", True),
        (3, "anyone", False),
    )
    return _part("combined", {"ultrasound": 1, "pads": 1}, {"heads": 1, "pad-sets": 1}, *phases, skill="ultrasound")


def _guided(random: Random) -> Part:
    run = random.randint(10, 15)
    phases: tuple[tuple[int, Hands, bool], ...] = (
        (4, "anyone", False),
        (run, "anyone", True),
        (5, "nobody", False),
        (2, "anyone", False),
    )
    return _part("guided", {"pads": 1}, {"pad-sets": 1}, *phases)


def _then(first: Part, second: Part, max_wait: int | None) -> Parts:
    return (first, replace(second, max_wait_min=max_wait))


KINDS: tuple[tuple[Callable[[Random], Parts], bool], ...] = (
    (lambda random: (_sound(random),), True),
    (lambda random: (_pads(random),), True),
    (lambda random: (_cups(random, 20),), True),
    (lambda random: _then(_sound(random), _pads(random), random.choice((5, 10))), True),
    (lambda random: (_combined(random),), True),
    (lambda random: (_pads(random, 2),), True),
    (lambda random: _then(_pads(random), _sound(random), random.choice((20, None))), False),
    (lambda random: (_cups_and_pads(random),), True),
    (lambda random: (_guided(random),), True),
    (lambda random: (_cups(random, 30),), True),
    (lambda random: (_sound(random, "small-heads"),), True),
    (lambda random: (_pads(random),), True),
)
"""Kinds of visits, taken in turn so that each is in every day: how the parts are made, and whether on one unit."""


def visits_of(size: Size, staff: tuple[StaffMember, ...], random: Random) -> tuple[Visit, ...]:
    """The visits in a random order. One patient in forty, and at least one, comes twice."""
    visits = [_visit(n, size, staff, random) for n in range(size.visits)]
    for again in range(max(1, size.visits // 40)):
        visits[-1 - again] = replace(visits[-1 - again], patient=visits[again].patient)
    random.shuffle(visits)
    return tuple(replace(visit, id=f"V{n:03d}") for n, visit in enumerate(visits, start=1))


def _visit(number: int, size: Size, staff: tuple[StaffMember, ...], random: Random) -> Visit:
    make, same_unit = KINDS[number % len(KINDS)]
    parts = make(random)
    wish = _wish(size, random)
    wished, must = _therapists(number, staff, parts, random)
    return Visit(
        id=f"n{number}",
        patient=f"patient {number + 1}",
        parts=parts,
        priority=random.choice((1, 1, 1, 2, 3)),
        free=_free(number, size, wish, random),
        wish=wish,
        therapist_wish=wished,
        therapist_must=must,
        place_tags=("step-free",) if number % 9 == 5 else (),
        same_unit=same_unit,
    )


def _wish(size: Size, random: Random) -> int | None:
    """Half of the wishes are for the two ends of the day, where they collide; one visit in ten has none."""
    where = random.random()
    if where < 0.1:
        return None
    if where < 0.35:
        return size.open + random.randrange(0, 61, 15)
    if where < 0.6:
        return size.close - random.randrange(45, 121, 15)
    return random.randrange(size.open + 60, size.close - 105, 15)


def _free(number: int, size: Size, wish: int | None, random: Random) -> tuple[Interval, ...] | None:
    """Three in five are free all day; of the others most for hours about their wish, and some with a gap between."""
    if number % 5 < 3:
        return None
    middle = (size.open + size.close) // 2
    if number % 5 == 3:
        about = middle if wish is None else wish
        width = random.randrange(120, 181, 15)
        return (Interval(max(size.open, about - width), min(size.close, about + width)),)
    return (Interval(size.open, middle - 30), Interval(middle + 30, size.close))


def _therapists(
    number: int, staff: tuple[StaffMember, ...], parts: Parts, random: Random
) -> tuple[str | None, str | None]:
    """Who is wished for and who is required: one in three wishes, one in fourteen insists, always on one who can."""
    skills = {part.skill for part in parts} - {None}
    able = [member.id for member in staff if member.kind == "therapist" and skills <= set(member.skills)]
    chosen, asks = random.choice(able), random.random()
    if number % 14 == 4:
        return None, chosen
    return (chosen if asks < 0.35 else None), None
