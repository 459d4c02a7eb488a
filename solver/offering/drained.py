"""Units whose battery does not last through a plan, and whether a further stay can change that."""

from solver.masks.ledger import Ledger
from solver.offering.every_way import EveryWay
from solver.offering.openings import Openings
from solver.visits import Visit


def drained(ledger: Ledger) -> frozenset[str]:
    """The units whose battery does not keep its reserve with the stays that the ledger holds."""
    return frozenset(unit.id for unit in ledger.day.units if not ledger.batteries.lasts(unit.id))


def hopeless(ledger: Ledger, units: frozenset[str]) -> bool:
    """True where a drained unit stays so whoever else comes in.

    A further stay helps a battery only where it saves it a move, and with it minutes of charging.
    """
    return any(ledger.day.move_min == 0 or len(ledger.day.unit_by_id[unit].places) < 2 for unit in units)


def last_openings(ledger: Ledger, visit: Visit) -> Openings:
    """Where the visit could be as the last one to come in: exact, also where the plan without it drains a battery."""
    return Openings(ledger, visit, wanting=drained(ledger))


def named(visit: Visit) -> bool:
    """True where bays, channels or items are fixed of the visit by name."""
    parts = visit.fixed.parts if visit.fixed is not None else ()
    return any(part.bay is not None or part.channels is not None or part.items is not None for part in parts)


def ways_before(ledger: Ledger, visit: Visit, later: list[Visit]) -> EveryWay:
    """Every way to place the visit before those that are still to come; the ledger holds neither."""
    window = 0
    for other in later:
        window |= EveryWay(ledger, other, 0).minutes()
    return EveryWay(ledger, visit, window, named=any(named(other) for other in later))
