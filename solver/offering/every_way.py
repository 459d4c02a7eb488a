"""Every way to place a visit at one start, up to what makes no difference to those who come in after it.

Two ways are alike where they leave the same things free in the minutes in which anybody still to come may be: one of
two bays free at the same times is as good as the other. Of ways that are alike one is given. Batteries are left aside:
a visit that comes in later can keep a battery alive by standing where a unit would have moved (see ``drained``).
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import combinations, product
from typing import NamedTuple

from solver.aims import Costs
from solver.clinic import StaffMember
from solver.masks.bits import span, union
from solver.masks.ledger import NO_BAY, Ledger
from solver.masks.starts import Starts
from solver.masks.waits import Offsets
from solver.offering.alike import Held, Names, Way, distinct, selections
from solver.offering.partwise import PartWise, Track
from solver.offering.preference import Preference
from solver.schedule import PlacedPart, PlacedVisit
from solver.sites import Site
from solver.visits import Visit

Worth = Callable[[Costs], bool]
"""Whether ways that add so much to the day's aims are wanted."""

Keeps = Callable[[PlacedVisit], bool]
"""Whether ways may be left that hold at least what this one does: one without names for what is still to be chosen."""


class _Frame(NamedTuple):
    """A way as far as it says who, when and at which units and places; ``begun``: each part's start."""

    member: StaffMember | None
    sites: tuple[Site, ...]
    begun: tuple[int, ...]


class EveryWay:
    """Of one visit in one ledger. Of use until the ledger changes.

    ``window``: the minutes in which those who are still to come may be; ``named``: whether anything is fixed of them by
    name, so that bays, channels and items that are free at the same times are no longer alike.
    """

    def __init__(self, ledger: Ledger, visit: Visit, window: int, *, named: bool = False) -> None:
        self.ledger = ledger
        self.day = ledger.day
        self.visit = visit
        self.window = window
        self.named = named
        self.starts = Starts(ledger, visit)
        self.preference = Preference(ledger.day, visit)
        self._partwise = PartWise(self.starts, self.preference)
        self._ends = [part.minutes for part in visit.parts]
        self._stay_of = {i: number for number, stay in enumerate(visit.stays) for i in stay}

    @cached_property
    def _tracks(self) -> list[Track]:
        return sorted(
            self._partwise.tracks(),
            key=lambda t: (self.preference.of_member(t.member), self.preference.of_site(t.site) if t.site else ()),
        )

    def possible(self) -> int:
        """A set of minutes that holds every start; those where batteries or the visit's own parts forbid it are too."""
        return union(track.line.fits[0] for track in self._tracks)

    def minutes(self) -> int:
        """Every minute in which the visit may be."""
        first, last = self.possible(), union(track.line.fits[-1] for track in self._tracks)
        return span((first & -first).bit_length() - 1, last.bit_length() - 1 + self._ends[-1]) if first else 0

    def at(self, start: int, worth: Worth | None = None, keeps: Keeps | None = None) -> Iterator[PlacedVisit]:
        """The ways to begin at this minute that break no rule but perhaps ``battery``.

        ``worth`` and ``keeps`` pass over those that are not wanted, many at a time.
        """
        nothing = tuple[Names, ...]({} for _ in self.visit.parts)
        no_bays = (NO_BAY,) * len(self.visit.stays)
        for frame in self._frames(start, worth):
            if keeps is not None and not keeps(self._placed(frame, nothing, no_bays, nothing, self._therapist(frame))):
                continue
            by = [
                hands
                for hands in self._hands(frame)
                if keeps is None or keeps(self._placed(frame, nothing, no_bays, nothing, hands))
            ]
            items = list(self._items(frame)) if by else []
            bays = list(self._bays(frame)) if items else []
            if bays:
                for channels in self._channels(frame):
                    for way in product(bays, items, by):
                        yield self._placed(frame, channels, *way)

    def _frames(self, start: int, worth: Worth | None) -> Iterator[_Frame]:
        seen: set[tuple[str, Offsets, tuple[tuple[str, str], ...]]] = set()
        for track in self._tracks:
            if not track.line.fits[0] >> start & 1:
                continue
            id = track.member.id if track.member else ""
            for offsets in track.line.spacings(start):
                begun = tuple(start + offset for offset in offsets)
                for sites in self._sites(track, begun):
                    key = (id, offsets, tuple(site.key for site in sites))
                    if key in seen:
                        continue
                    seen.add(key)
                    total = offsets[-1] + self._ends[-1]
                    told = self.preference.is_told(sites[0])
                    if worth is None or worth(self.preference.costs(start, total, track.member, told)):
                        yield _Frame(track.member, sites, begun)

    def _sites(self, track: Track, begun: Sequence[int]) -> Iterable[tuple[Site, ...]]:
        if track.site is not None:
            return [(track.site,)]
        there = [
            [site for site, mask in alone.sites if mask >> minute & 1]
            for alone, minute in zip(self._partwise.alone, begun, strict=True)
        ]
        return (sites for sites in product(*there) if self._moves_in_time(sites, begun))

    def _moves_in_time(self, sites: Sequence[Site], begun: Sequence[int]) -> bool:
        """True where no unit has to be at two places too soon after each other for the visit's own parts."""
        return not any(
            sites[i].unit.id == sites[j].unit.id
            and sites[i].place.id != sites[j].place.id
            and begun[j] - begun[i] - self._ends[i] < self.day.move_min
            for i, j in combinations(range(len(begun)), 2)
        )

    def _stretch(self, frame: _Frame, stay: Sequence[int]) -> tuple[int, int]:
        return frame.begun[stay[0]], frame.begun[stay[-1]] + self._ends[stay[-1]]

    def _bays(self, frame: _Frame) -> Iterator[tuple[str, ...]]:
        """A bay for each stay."""
        stays, ledger, around = self.visit.stays, self.ledger, self.day.bay_turnover_min
        stretches = [self._stretch(frame, stay) for stay in stays]
        free = [
            [bay for bay in self.starts.bays(stay, site) if span(*minutes) & ~ledger.bays[bay].free == 0]
            for stay, site, minutes in zip(stays, frame.sites, stretches, strict=True)
        ]
        kinds = {bay: site.place.id for site in frame.sites for bay in site.place.bays}

        def held(bays: tuple[str, ...]) -> Held:
            taken: dict[str, int] = {}
            for bay, (start, end) in zip(bays, stretches, strict=True):
                taken[bay] = taken.get(bay, 0) | span(start - around, end + around)
            return taken

        return self._distinct(product(*free), held, kinds, {bay: ledger.bays[bay].free for bay in kinds})

    def _channels(self, frame: _Frame) -> Iterator[tuple[Names, ...]]:
        """Channels for each part."""
        units = [frame.sites[self._stay_of[i]].unit for i in range(len(self.visit.parts))]
        masks = {
            f"{unit.id} {channel.id}": self.ledger.channels[unit.id, channel.id].free
            for unit in units
            for channel in unit.channels
        }
        kinds = {
            f"{unit.id} {channel.id}": f"{unit.id} {sorted(channel.drives)}"
            for unit in units
            for channel in unit.channels
        }
        spans = [span(minute, minute + length) for minute, length in zip(frame.begun, self._ends, strict=True)]
        each: list[list[Names]] = []
        for i, unit in enumerate(units):
            fixed = self.starts.shape.fixed[i].channels
            if fixed is not None:
                each.append([fixed])
                continue
            free = [channel for channel in unit.channels if not spans[i] & ~masks[f"{unit.id} {channel.id}"]]
            free.sort(key=lambda channel: len(channel.drives))
            wanted = self.visit.parts[i].channels
            able = {output: [c.id for c in free if output in c.drives] for output in wanted}
            each.append(list(selections(able, wanted)))

        def held(chosen: tuple[Names, ...]) -> Held:
            taken: dict[str, int] = {}
            for unit, names, minutes in zip(units, chosen, spans, strict=True):
                for id in (f"{unit.id} {channel}" for ids in names.values() for channel in ids):
                    taken[id] = taken.get(id, 0) | minutes
            return taken

        return self._distinct(product(*each), held, kinds, masks)

    def _items(self, frame: _Frame) -> Iterator[tuple[Names, ...]]:
        """Items for each part."""
        masks = {item: mask.free for item, mask in self.ledger.items.items()}
        kinds = {item: pool.id for pool in self.day.applicators for item in pool.items}
        each: list[list[Names]] = []
        for i, part in enumerate(self.visit.parts):
            fixed, minutes = self.starts.shape.fixed[i].items, span(frame.begun[i], frame.begun[i] + part.minutes)
            if fixed is not None:
                each.append([{pool: tuple(fixed.get(pool, ())) for pool in part.applicators}])
                continue
            pools = {id: self.day.applicator_by_id[id].items for id in part.applicators}
            free = {id: [item for item in items if not minutes & ~masks[item]] for id, items in pools.items()}
            each.append(list(selections(free, part.applicators)))
        right = (chosen for chosen in product(*each) if self._holds(frame, chosen) is not None)
        return self._distinct(right, lambda chosen: self._holds(frame, chosen) or {}, kinds, masks)

    def _holds(self, frame: _Frame, chosen: Sequence[Names]) -> Held | None:
        """The minutes each item is held, its turnaround on both sides; None where it is not free or not in time."""
        taken: dict[str, int] = {}
        for stay in self.visit.stays:
            holds: dict[str, tuple[int, int]] = {}
            for i in stay:
                for item in (item for items in chosen[i].values() for item in items):
                    first, _ = holds.get(item, (frame.begun[i], 0))
                    holds[item] = (first, frame.begun[i] + self._ends[i])
            for item, (start, end) in holds.items():
                hold = span(start, end)
                if hold & ~self.ledger.items[item].free or hold & taken.get(item, 0):
                    return None
                around = self._turnaround[item]
                taken[item] = taken.get(item, 0) | span(start - around, end + around)
        return taken

    @cached_property
    def _turnaround(self) -> Mapping[str, int]:
        return {item: pool.turnaround_min for pool in self.day.applicators for item in pool.items}

    def _therapist(self, frame: _Frame) -> tuple[str | None, ...]:
        """The hands on the phases that are the therapist's."""
        id = frame.member.id if frame.member else None
        return tuple(id if phase.hands == "therapist" else None for part in self.visit.parts for phase in part.phases)

    def _hands(self, frame: _Frame) -> Iterator[tuple[str | None, ...]]:
        """Who does each phase of all parts, one part after the other."""
        choices: list[list[str | None]] = []
        spans: list[int] = []
        for part, begin in zip(self.visit.parts, frame.begun, strict=True):
            for phase, minutes in part.phases_at(begin):
                spans.append(span(*minutes))
                match phase.hands:
                    case "nobody":
                        choices.append([None])
                    case "therapist":
                        choices.append([frame.member.id if frame.member else None])
                    case "anyone":
                        able = (
                            m for m in self.ledger.helpers if self.ledger.hands(m, phase.minutes) >> minutes.start & 1
                        )
                        choices.append([member.id for member in able])
        free = {member.id: self.ledger.staff[member.id].free for member in self.day.staff}

        def held(chosen: tuple[str | None, ...]) -> Held:
            taken: dict[str, int] = {}
            for who, minutes in zip(chosen, spans, strict=True):
                if who is not None:
                    taken[who] = taken.get(who, 0) | minutes
            return taken

        return self._distinct(product(*choices), held, {id: id for id in free}, free)

    def _distinct(
        self, ways: Iterable[Way], held: Callable[[Way], Held], kinds: Mapping[str, str], free: Mapping[str, int]
    ) -> Iterator[Way]:
        return distinct(ways, held, {id: id for id in kinds} if self.named else kinds, free, self.window)

    def _placed(
        self,
        frame: _Frame,
        channels: Sequence[Names],
        bays: Sequence[str],
        items: Sequence[Names],
        hands: Sequence[str | None],
    ) -> PlacedVisit:
        parts, done = [], 0
        for i, part in enumerate(self.visit.parts):
            site, bay = frame.sites[self._stay_of[i]], bays[self._stay_of[i]]
            parts.append(
                PlacedPart(
                    id=part.id,
                    start=frame.begun[i],
                    unit=site.unit.id,
                    place=site.place.id,
                    bay=bay,
                    channels=channels[i],
                    items=items[i],
                    hands=tuple(hands[done : done + len(part.phases)]),
                )
            )
            done += len(part.phases)
        therapist = frame.member.id if frame.member else None
        return PlacedVisit(id=self.visit.id, therapist=therapist, parts=tuple(parts))
