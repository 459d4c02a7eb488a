"""Starts of a visit whose parts can be spaced in very many ways: found part by part, last to first.

A *track* settles the therapist and, where the visit is one stay, unit, place and bay. On a track each part has a set of
starts of its own, and the minutes between two parts must be ones in which the patient may wait there. From the last
part's starts the sets are narrowed one after the other to those from which the rest can follow; what is left of the
first is the visit's. Only what ties parts together is not seen: items handed on, a battery, a unit on the move.
"""

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from solver.clinic import StaffMember
from solver.clock import DAY_MIN
from solver.masks.bits import ALL, minutes_of, runs, span, union
from solver.masks.ledger import Ledger
from solver.masks.starts import Starts
from solver.masks.waits import Offsets
from solver.offering.preference import Preference
from solver.sites import Site
from solver.visits import Fixed, Part, Visit


@dataclass(frozen=True, slots=True)
class Track:
    """``fits[i]``: the starts of part i from which the rest can follow; ``waiting``: minutes that may be waited in.

    ``site`` None: each part's site is open; then ``told`` says whether the first part's unit is the one told.
    """

    visit: Visit
    member: StaffMember | None
    site: Site | None
    told: bool
    fits: tuple[int, ...]
    waiting: int

    def spacings(self, start: int) -> Iterator[Offsets]:
        """Every way to space the parts from this start on the track, the shortest wait in all first."""
        parts = self.visit.parts
        queue: list[tuple[int, tuple[int, ...]]] = [(0, (start,))]
        while queue:
            waited, begun = heapq.heappop(queue)
            i = len(begun)
            if i == len(parts):
                yield tuple(minute - start for minute in begun)
                continue
            end = begun[-1] + parts[i - 1].minutes
            for minute in minutes_of(self.fits[i] & _reach(end, parts[i].max_wait_min, self.waiting)):
                heapq.heappush(queue, (waited + minute - end, (*begun, minute)))


def parts_alone(starts: Starts) -> list["Alone"]:
    return [Alone(starts.ledger, starts.visit, i) for i in range(len(starts.visit.parts))]


def tracks(starts: Starts, preference: Preference, alone: Sequence["Alone"]) -> Iterator[Track]:
    """Every track of the visit that leaves it any start. ``alone``: its parts."""
    settle = _of_one_stay if starts.visit.same_unit else _of_many_stays
    for member in starts.shape.therapists:
        yield from settle(starts, preference, alone, member)


class Alone:
    """One part of a visit as a visit of its own: its starts by therapist and by site."""

    def __init__(self, ledger: Ledger, visit: Visit, index: int) -> None:
        part = visit.parts[index]
        fixed = Fixed(parts=(visit.fixed_part(index),))
        single = replace(visit, id=f"{visit.id} {part.id}", parts=(part,), fixed=fixed, therapist_must=None)
        starts = Starts(ledger, single)
        self.part = part
        self.needs_therapist = part.needs_therapist
        ways = starts.ways(starts.shape.spaced((0,)))
        self.members = {member.id if member else None: mask for member, mask in ways.members} if ways else {}
        self.sites = [(sites[0], mask) for sites, mask in ways.sites if sites] if ways else []
        self._by_site = {(site.unit.id, site.place.id): mask for site, mask in self.sites}

    def by(self, member: StaffMember | None) -> int:
        return self.members.get(member.id if member and self.needs_therapist else None, 0)

    def at(self, site: Site) -> int:
        return self._by_site.get((site.unit.id, site.place.id), 0)


def on_sites(track: Track, own: Sequence[int]) -> Track:
    """The track with these starts of each part, those that need not be looked at left out."""
    fits = _backwards(track.visit, own, track.waiting)
    return replace(track, fits=fits or (0,) * len(own))


def follows(track: Track, index: int, before: int) -> int:
    """Those starts of a part on the track that the patient can wait for after these starts of the part before it."""
    parts = track.visit.parts
    reached, most = before << parts[index - 1].minutes, parts[index].max_wait_min
    waited, left = 0, DAY_MIN if most is None else min(most, DAY_MIN)
    while waited < left:
        more = min(waited + 1, left - waited)
        reached |= (reached & runs(track.waiting, more)) << more
        waited += more
    return track.fits[index] & reached


def _of_one_stay(
    starts: Starts, preference: Preference, alone: Sequence[Alone], member: StaffMember | None
) -> Iterator[Track]:
    ledger, (stay,) = starts.ledger, starts.visit.stays
    for site in starts.shape.sites(stay):
        own = [part.by(member) & part.at(site) for part in alone]
        if not all(own):
            continue
        there = _may_wait(starts) & ledger.patients[site.unit.id].at_least(1)
        there &= ledger.elsewhere[site.unit.id, site.place.id].free
        seen: set[int] = set()
        for bay in starts.bays(stay, site):
            free = there & ledger.bays[bay].free
            if free in seen:
                continue
            seen.add(free)
            for hours in ledger.day.unit_hours(site.unit):
                yield from _narrowed(starts, member, site, preference.is_told(site), own, free & span(*hours))


def _of_many_stays(
    starts: Starts, preference: Preference, alone: Sequence[Alone], member: StaffMember | None
) -> Iterator[Track]:
    later = [part.by(member) & union(mask for _, mask in part.sites) for part in alone[1:]]
    for told in (True, False):
        there = union(mask for site, mask in alone[0].sites if preference.is_told(site) == told)
        first = alone[0].by(member) & there
        if first and all(later):
            yield from _narrowed(starts, member, None, told, [first, *later], _may_wait(starts))


def _may_wait(starts: Starts) -> int:
    """Minutes in which the patient is in no other visit and the clinic is open."""
    return starts.ledger.patient[starts.visit.patient].free & span(*starts.day.open_interval)


def _narrowed(
    starts: Starts, member: StaffMember | None, site: Site | None, told: bool, own: Sequence[int], waiting: int
) -> Iterator[Track]:
    """The track within each of the patient's free times, where any start is left."""
    visit = starts.visit
    for free in starts.day.visit_free(visit):
        fits = _backwards(visit, own, waiting & span(*free))
        if fits is not None:
            yield Track(visit, member, site, told, fits, waiting & span(*free))


def _backwards(visit: Visit, own: Sequence[int], waiting: int) -> tuple[int, ...] | None:
    fits: list[int] = []
    follows: Part | None = None
    for part, mask in zip(reversed(visit.parts), reversed(own), strict=True):
        mask &= runs(waiting, part.minutes)
        if follows is not None:
            mask &= _before(fits[0], follows.max_wait_min, waiting) >> part.minutes
        if not mask:
            return None
        fits.insert(0, mask)
        follows = part
    return tuple(fits)


def _before(begin: int, most: int | None, waiting: int) -> int:
    """The minutes from which one may wait until some minute of ``begin``, at most so long."""
    reached, left = 0, DAY_MIN if most is None else min(most, DAY_MIN)
    while reached < left:
        more = min(reached + 1, left - reached)
        begin |= (begin >> more) & runs(waiting, more)
        reached += more
    return begin


def _reach(end: int, most: int | None, waiting: int) -> int:
    """The minutes until which one may wait from ``end`` on, itself among them."""
    blocked = (ALL & ~waiting) >> end
    clear = (blocked & -blocked).bit_length() - 1 if blocked else DAY_MIN - end
    return span(end, end + min(clear, DAY_MIN if most is None else most) + 1)
