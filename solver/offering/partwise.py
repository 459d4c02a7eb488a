"""Starts of a visit whose parts can be spaced in very many ways: found part by part, last to first.

A *track* settles the therapist and, where the visit is one stay, unit, place and bay. On a track each part has a set of
starts of its own, and the minutes between two parts must be ones in which the patient may wait there. From the last
part's starts the sets are narrowed one after the other to those from which the rest can follow; what is left of the
first is the visit's. Only what ties parts together is not seen: items handed on, a battery, a unit on the move.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from solver.clinic import StaffMember
from solver.masks.alone import parts_alone
from solver.masks.bits import span, union
from solver.masks.starts import Starts
from solver.offering.preference import Preference
from solver.offering.waiting import Line, Waiting
from solver.sites import Site

Hands = tuple[int, ...]
"""For each part the starts at which those who do the visit can do it."""


@dataclass(frozen=True, slots=True)
class Track:
    """``member`` None: no therapist, or it is left open which one.

    ``site`` None: each part's site is open; then ``told`` says whether the first part's unit is the one told.
    """

    member: StaffMember | None
    site: Site | None
    told: bool
    line: Line


class PartWise:
    """One visit in one ledger. Of use until the ledger changes."""

    def __init__(self, starts: Starts, preference: Preference) -> None:
        self.starts = starts
        self.visit = starts.visit
        self.preference = preference
        self.alone = parts_alone(starts)

    def tracks(self) -> Iterator[Track]:
        """Every track of the visit that leaves it any start."""
        for member in self.starts.shape.therapists:
            yield from self._tracks_of(member, tuple(part.by(member) for part in self.alone))

    def open_tracks(self) -> Iterator[Track]:
        """The same, the therapist left open: enough to know the starts where nothing else asks who it is."""
        for hands in self.hands():
            yield from self._tracks_of(None, hands)

    def hands(self) -> list[Hands]:
        """Those of every therapist, alike ones once; of all in one where a single part needs the therapist."""
        if sum(part.needs_therapist for part in self.visit.parts) <= 1:
            return [tuple(part.by_anybody for part in self.alone)]
        therapists = self.starts.shape.therapists
        return list(dict.fromkeys(tuple(part.by(member) for part in self.alone) for member in therapists))

    @cached_property
    def waits(self) -> list[Waiting]:
        """Of the visit with its sites left open: one for each of the patient's free times."""
        return self._waits_within(self._may_wait)

    def _tracks_of(self, member: StaffMember | None, hands: Hands) -> Iterator[Track]:
        yield from self._of_one_stay(member, hands) if self.visit.same_unit else self._of_many_stays(member, hands)

    def _of_one_stay(self, member: StaffMember | None, hands: Hands) -> Iterator[Track]:
        for site, waits in self._sited_waits:
            own = [mine & part.at(site) for mine, part in zip(hands, self.alone, strict=True)]
            if all(own):
                yield from _on(waits, own, member, site, self.preference.is_told(site))

    def _of_many_stays(self, member: StaffMember | None, hands: Hands) -> Iterator[Track]:
        own = [mine & part.anywhere for mine, part in zip(hands, self.alone, strict=True)]
        for told in (True, False):
            first = union(mask for site, mask in self.alone[0].sites if self.preference.is_told(site) == told)
            if own[0] & first and all(own):
                yield from _on(self.waits, [own[0] & first, *own[1:]], member, None, told)

    @cached_property
    def _sited_waits(self) -> list[tuple[Site, list[Waiting]]]:
        """For each site of the visit's one stay, and each bay there that is free at other times than those before."""
        starts, ledger, (stay,) = self.starts, self.starts.ledger, self.visit.stays
        found: list[tuple[Site, list[Waiting]]] = []
        for site in starts.shape.sites(stay):
            if not all(part.at(site) for part in self.alone):
                continue
            there = self._may_wait & ledger.patients[site.unit.id].at_least(1)
            there &= ledger.elsewhere[site.key].free
            free = dict.fromkeys(there & ledger.bays[bay].free for bay in starts.bays(stay, site))
            hours = ledger.day.unit_hours(site.unit)
            waits = [wait for mask in free for some in hours for wait in self._waits_within(mask & span(*some))]
            found.append((site, waits))
        return found

    @property
    def _may_wait(self) -> int:
        """Minutes in which the patient is in no other visit and the clinic is open."""
        return self.starts.ledger.patient[self.visit.patient].free & span(*self.starts.day.open_interval)

    def _waits_within(self, minutes: int) -> list[Waiting]:
        free_times = (minutes & span(*free) for free in self.starts.day.visit_free(self.visit))
        return [Waiting(self.visit.parts, free) for free in free_times if free]


def _on(
    waits: Sequence[Waiting], own: Sequence[int], member: StaffMember | None, site: Site | None, told: bool
) -> Iterator[Track]:
    """The track in each of the waits in which any start is left."""
    for waiting in waits:
        fits = waiting.narrowed(own)
        if fits is not None:
            yield Track(member, site, told, Line(waiting, fits))
