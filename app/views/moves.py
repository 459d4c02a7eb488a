"""A unit's ways from place to place through the day."""

from dataclasses import dataclass

from app.views.parts import Planned
from solver.clock import Interval
from solver.stays import Stay


@dataclass(frozen=True, slots=True)
class Move:
    """A unit's way from one place to the next, in the last minutes before the stay there."""

    unit: str
    minutes: Interval
    to_place: str


def moves(planned: Planned) -> list[Move]:
    """Every move of every unit. The contract fixes when a unit is free, not when it is wheeled: it is drawn at the last
    moment that serves, which is also when the battery rule unplugs it."""
    found = []
    for unit in planned.day.units:
        stays = planned.unit_stays(unit.id)
        ends: dict[str, int] = {}
        last: Stay | None = None
        for stay in stays:
            if last is not None and stay.place != last.place:
                start = stay.interval.start
                leave = max(ends[last.place], start - planned.day.move_min)
                found.append(Move(unit.id, Interval(leave, start), stay.place))
            ends[stay.place] = max(ends.get(stay.place, 0), stay.interval.end)
            last = stay
    return found
