"""Which visits are taken out together with one that is badly placed: those near it, in time or at one site."""

from math import log
from random import Random

from solver.scored import ScoredPlan
from solver.visits import Visit

MOST = 6
SPREAD_MIN = 60
"""How far from the minute that is looked at visits are taken out, on the average, beyond the nearest ones."""
AT_ONE_SITE = 0.7
"""How often only visits on one unit that the badly placed one may have, or of one therapist, are taken out."""
AROUND_MIN = 15
"""How far from its minutes they may be."""
SPREAD_THERE_MIN = 20
"""What ``SPREAD_MIN`` is there."""
AT_ITS_PLACE = 0.1
"""How often the minute looked at is where the visit is, rather than where it would like to be."""


class Neighbours:
    """Looks for them in the plan as it is when asked."""

    def __init__(self, plan: ScoredPlan, random: Random) -> None:
        self.day = plan.day
        self.random = random
        self._ledger = plan.ledger
        self._spans = plan.spans

    def of(self, sore: Visit | None) -> list[str]:
        """The ids of one up to ``MOST`` placed visits, of others than the badly placed one, the nearest mostly.

        Without such a visit, at any minute of the day.
        """
        minute, size = self._minute(sore), self.random.randint(1, min(MOST, max(1, len(self._spans))))
        if sore is not None and self.random.random() < AT_ONE_SITE:
            apart, spread = self._there(sore, minute), SPREAD_THERE_MIN
        else:
            apart, spread = self._anywhere(minute), SPREAD_MIN
        if sore is not None:
            apart.pop(sore.id, None)
        random = self.random.random
        # So many minutes more, exponentially distributed.
        return sorted(apart, key=lambda id: apart[id] - spread * log(1.0 - random()))[:size]

    def _minute(self, sore: Visit | None) -> int:
        """A minute of the day at which the visit is, or would like to be."""
        random = self.random
        if sore is None:
            return random.randrange(self.day.open, self.day.close)
        placed = self._spans.get(sore.id)
        if placed is not None and (sore.wish is None or random.random() < AT_ITS_PLACE):
            return placed.start
        if sore.wish is not None:
            return sore.wish + random.randrange(sore.minutes)
        window = random.choice(self.day.visit_free(sore) or (self.day.open_interval,))
        return random.randrange(window.start, window.end)

    def _anywhere(self, minute: int) -> dict[str, int]:
        """Minutes between each placed visit and the minute; 0 where they meet."""
        return {
            id: start - minute if start > minute else minute - end if end < minute else 0
            for id, (start, end) in self._spans.items()
        }

    def _there(self, sore: Visit, minute: int) -> dict[str, int]:
        """Those that stand in the way of one place for the visit: they hold a unit that it may have, or a therapist, at
        the minutes that it would have from this one on or shortly before or after. With how many minutes apart."""
        shape = self._ledger.shape_of(sore)
        sites, therapists = shape.sites(sore.stays[0]), [member.id for member in shape.therapists if member is not None]
        unit = self.random.choice(sites).unit.id if sites else None
        therapist = self.random.choice(therapists) if therapists else None
        found = {}
        since, until = minute - AROUND_MIN, minute + sore.minutes + AROUND_MIN
        for id, (start, end) in self._spans.items():
            if start <= until and end >= since:
                placed = self._ledger.visits[id]
                by_them = therapist is not None and placed.therapist == therapist
                if by_them or any(part.unit == unit for part in placed.parts):
                    found[id] = max(0, start - minute - sore.minutes, minute - end)
        return found
