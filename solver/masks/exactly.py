"""Whether a placed visit can be added to a ledger just as it is: nothing about it is chosen."""

from collections.abc import Iterator

from solver.masks.bits import span
from solver.masks.energy import Load, load_of
from solver.masks.ledger import Ledger, holds_of
from solver.schedule import PlacedVisit
from solver.stays import Stay, visit_stays
from solver.visits import Visit


def fits_exactly(ledger: Ledger, visit: Visit, placed: PlacedVisit) -> bool:
    """True where nobody holds anything of it, its staff and its unit are there, and the patient's own times are kept.

    What is right of the visit itself in any plan (its channels can drive its outputs, its bay is in its place) is not
    asked about: it was right in the plan that it comes from.
    """
    day, last = ledger.day, placed.parts[-1]
    end = last.start + visit.parts[-1].minutes
    start = placed.parts[0].start
    return (
        any(free.start <= start and end <= free.end for free in day.visit_free(visit))
        and not span(start, end) & ~ledger.patient[visit.patient].free
        and all(_stay_fits(ledger, stay) for stay in visit_stays(visit, placed))
        and all(_parts_fit(ledger, visit, placed))
        and all(ledger.batteries.last(unit, loads) for unit, loads in _loads(ledger, visit, placed).items())
    )


def _stay_fits(ledger: Ledger, stay: Stay) -> bool:
    day, (start, end), unit = ledger.day, stay.interval, ledger.day.unit_by_id[stay.unit]
    whole = span(start, end)
    return (
        bool(ledger.in_service(unit, end - start) >> start & 1)
        and bool(ledger.patients[unit.id].runs(1, end - start) >> start & 1)
        and not whole & ~ledger.elsewhere[unit.id, stay.place].free
        and not whole & ~ledger.bays[stay.bay].free
        and all(not span(*hold) & ~ledger.items[item].free for item, hold in holds_of(stay) if item in ledger.items)
        and all(item in ledger.items for item, _ in holds_of(stay))
        and day.open <= start
        and end <= day.close
    )


def _loads(ledger: Ledger, visit: Visit, placed: PlacedVisit) -> dict[str, list[Load]]:
    """What the visit's stays ask of each unit's battery, together."""
    loads: dict[str, list[Load]] = {}
    for stay in visit_stays(visit, placed):
        battery = ledger.day.unit_by_id[stay.unit].battery
        if battery is not None:
            parts = [(part, where.start) for part, where in stay.parts]
            loads.setdefault(stay.unit, []).append(load_of(battery, stay.interval, stay.place, parts))
    return loads


def _parts_fit(ledger: Ledger, visit: Visit, placed: PlacedVisit) -> Iterator[bool]:
    for part, where in zip(visit.parts, placed.parts, strict=True):
        whole = span(where.start, where.start + part.minutes)
        for channel in (channel for names in where.channels.values() for channel in names):
            yield not whole & ~ledger.channels[where.unit, channel].free
        if part.suction_kpa is not None:
            yield not whole & ~ledger.suction[where.unit, part.suction_kpa].free
        for (phase, (start, _)), who in zip(part.phases_at(where.start), where.hands, strict=True):
            if who is not None:
                yield bool(ledger.hands(ledger.day.staff_by_id[who], phase.minutes) >> start & 1)
            if phase.unattended:
                yield bool(ledger.watch.runs(1, phase.minutes) >> start & 1)
