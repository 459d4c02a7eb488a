"""Every way to settle one visit, or the breaks of one staff member, of a tiny day.

Generous on purpose: units, places and staff that a rule forbids are tried as well where that is cheap, so that the
verifier, and not this file, says what is right.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, product

from solver.clinic import Break
from solver.clock import Interval
from solver.names import Hands
from solver.problem import Day
from solver.schedule import PlacedBreak, PlacedPart, PlacedVisit
from solver.visits import Part, Visit

Placing = tuple[PlacedPart, str | None]
"""A placed part, and the therapist who does its `therapist` phases (None where it has none)."""

Names = Mapping[str, tuple[str, ...]]


def starts(day: Day, minutes: int, within: Interval | None = None) -> range:
    """Every start on the day's grid for something that takes so many minutes, within the opening hours."""
    first, last = day.open, day.close
    if within is not None:
        first, last = max(first, within.start), min(last, within.end)
    return range(-(-first // day.step_min) * day.step_min, last - minutes + 1, day.step_min)


def part_placings(day: Day, part: Part) -> Iterator[Placing]:
    """Every start, unit, place, bay, channels, items and hands of one part."""
    for start in starts(day, part.minutes):
        for unit, place in product(day.units, day.places):
            drives = {channel.id: channel.drives for channel in unit.channels}
            able = {output: [id for id in drives if output in drives[id]] for output in part.channels}
            pools = {id: day.applicator_by_id[id].items for id in part.applicators}
            for channels in selections(able, part.channels):
                for items in selections(pools, part.applicators):
                    for bay in place.bays:
                        for therapist, hands in hands_of(day, part):
                            yield (
                                PlacedPart(
                                    id=part.id,
                                    start=start,
                                    unit=unit.id,
                                    place=place.id,
                                    bay=bay,
                                    channels=channels,
                                    items=items,
                                    hands=hands,
                                ),
                                therapist,
                            )


def selections(able: Mapping[str, Sequence[str]], wanted: Mapping[str, int]) -> Iterator[Names]:
    """Every choice of so many different ids for each key, no id under two keys."""
    for chosen in product(*(combinations(able[key], count) for key, count in wanted.items())):
        ids = [id for group in chosen for id in group]
        if len(ids) == len(set(ids)):
            yield dict(zip(wanted, chosen, strict=True))


def hands_of(day: Day, part: Part) -> Iterator[tuple[str | None, tuple[str | None, ...]]]:
    """Every therapist for the part, each with everyone for each of its `anyone` phases."""
    everyone: list[str | None] = [member.id for member in day.staff]
    therapists: list[str | None] = [member.id for member in day.staff if member.kind == "therapist"]
    for therapist in therapists if part.needs_therapist else [None]:
        who: Mapping[Hands, list[str | None]] = {"therapist": [therapist], "anyone": everyone, "nobody": [None]}
        for hands in product(*(who[phase.hands] for phase in part.phases)):
            yield therapist, hands


def visit_placings(visit: Visit, parts: Sequence[Sequence[Placing]]) -> Iterator[PlacedVisit]:
    """Every way to put one placing of each part after the other, by one therapist, with `same_unit` in one bay."""

    def fits(a: PlacedPart, b: PlacedPart) -> bool:
        return not visit.same_unit or (a.unit, a.place, a.bay) == (b.unit, b.place, b.bay)

    def grow(chosen: tuple[Placing, ...]) -> Iterator[tuple[Placing, ...]]:
        if len(chosen) == len(visit.parts):
            yield chosen
            return
        index = len(chosen)
        for placing in parts[index]:
            if chosen:
                ended = chosen[-1][0].start + visit.parts[index - 1].minutes
                therapists = {therapist for _, therapist in (*chosen, placing) if therapist is not None}
                if placing[0].start < ended or len(therapists) > 1 or not fits(chosen[-1][0], placing[0]):
                    continue
            yield from grow((*chosen, placing))

    for chosen in grow(()):
        therapist = next((who for _, who in chosen if who is not None), None)
        yield PlacedVisit(id=visit.id, therapist=therapist, parts=tuple(part for part, _ in chosen))


def break_placings(day: Day, staff: str, breaks: Sequence[Break]) -> Iterator[tuple[PlacedBreak, ...]]:
    """Every way to put a member's breaks on the grid, each in its interval."""
    for chosen in product(*(starts(day, each.minutes, each.between) for each in breaks)):
        yield tuple(
            PlacedBreak(staff=staff, start=start, end=start + each.minutes)
            for start, each in zip(chosen, breaks, strict=True)
        )
