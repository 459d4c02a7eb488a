"""Whether a visit can be in a plan just as it is placed in another right plan of the same day."""

from collections.abc import Iterator

from solver.masks.bits import span
from solver.masks.energy import Load, load_of
from solver.masks.ledger import Ledger, holds_of
from solver.masks.occupancy import Headroom, Occupancy
from solver.schedule import PlacedVisit
from solver.stays import Stay, visit_stays
from solver.visits import Visit


def fits(ledger: Ledger, placed: PlacedVisit) -> bool:
    """True where nothing that the placed visit needs is held. What no other visit can change is not asked again."""
    visit = ledger.day.visit_by_id[placed.id]
    stays = list(visit_stays(visit, placed))
    return (
        all(mask & ~resource.free == 0 for resource, mask in _alone(ledger, visit, placed, stays))
        and all(mask & ~counted.at_least(n) == 0 for counted, mask, n in _counted(ledger, visit, placed, stays))
        and _lasts(ledger, stays)
    )


def _alone(ledger: Ledger, visit: Visit, placed: PlacedVisit, stays: list[Stay]) -> Iterator[tuple[Occupancy, int]]:
    """What it has to itself, and when."""
    for part, where in zip(visit.parts, placed.parts, strict=True):
        mask = span(where.start, where.start + part.minutes)
        yield from ((ledger.channels[where.unit, id], mask) for ids in where.channels.values() for id in ids)
        if part.suction_kpa is not None:
            yield ledger.suction[where.unit, part.suction_kpa], mask
        for (_, minutes), who in zip(part.phases_at(where.start), where.hands, strict=True):
            if who is not None:
                yield ledger.staff[who], span(*minutes)
    yield ledger.patient[visit.patient], span(placed.parts[0].start, stays[-1].interval.end)
    for stay in stays:
        yield ledger.elsewhere[stay.unit, stay.place], span(*stay.interval)
        yield ledger.bays[stay.bay], span(*stay.interval)
        yield from ((ledger.items[item], span(*held)) for item, held in holds_of(stay))


def _counted(
    ledger: Ledger, visit: Visit, placed: PlacedVisit, stays: list[Stay]
) -> Iterator[tuple[Headroom, int, int]]:
    """Of what it takes so many, and when."""
    yield from ((ledger.patients[stay.unit], span(*stay.interval), 1) for stay in stays)
    for part, where in zip(visit.parts, placed.parts, strict=True):
        for (phase, minutes), who in zip(part.phases_at(where.start), where.hands, strict=True):
            if who is not None:
                yield ledger.watch, span(*minutes), ledger.lost_watch(who)
            elif phase.unattended:
                yield ledger.watch, span(*minutes), 1


def _lasts(ledger: Ledger, stays: list[Stay]) -> bool:
    """True where the batteries keep their reserve."""
    further: dict[str, list[Load]] = {}
    for stay in stays:
        battery = ledger.day.unit_by_id[stay.unit].battery
        if battery is not None:
            parts = [(part, where.start) for part, where in stay.parts]
            further.setdefault(stay.unit, []).append(load_of(battery, stay.interval, stay.place, parts))
    return all(ledger.batteries.last(unit, loads) for unit, loads in further.items())
