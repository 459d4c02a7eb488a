"""The live day as a question to the search: nobody who was started moves, whoever was told moves least."""

from collections.abc import Mapping
from dataclasses import replace

from solver.late.live import LiveDay
from solver.names import AimName
from solver.problem import Day
from solver.schedule import PlacedVisit

FIRST: tuple[AimName, ...] = ("placed", "stable")


def for_repair(live: LiveDay, told: Mapping[str, PlacedVisit]) -> Day:
    """The live day with ``placed`` and ``stable`` as its first aims. ``told``: what patients were told, by visit.

    Who was told nothing is to stay where the plan has them. What is found is to be read by ``outcome_of``.
    """
    published = tuple(told.get(id, live.planned[id]) for id in live.waiting)
    rest = tuple(aim for aim in live.day.aims if aim not in FIRST)
    return replace(live.day, published=published, aims=(*FIRST, *rest))
