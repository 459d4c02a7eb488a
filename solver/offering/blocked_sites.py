"""What stands in the way of a stay at a unit and a place: the unit, its channels, its pump, its battery, a bay."""

from collections.abc import Iterator, Sequence
from itertools import combinations

from solver.clinic import Unit
from solver.clock import Interval
from solver.masks.bits import span
from solver.masks.energy import Load, keeps_reserve, load_of
from solver.masks.ledger import Ledger
from solver.masks.shapes import Spaced, StayShape
from solver.offering.obstacle import Obstacle, Obstacles, by_visits, held, in_vain, merged, weight
from solver.sites import Site
from solver.visits import FixedPart, Part, Visit


class BlockedSites:
    """Of one visit in one ledger."""

    def __init__(self, ledger: Ledger, visit: Visit, fixed: Sequence[FixedPart]) -> None:
        self.ledger = ledger
        self.day = ledger.day
        self.visit = visit
        self.fixed = fixed

    def ranked(self, start: int, stay: StayShape, spaced: Spaced) -> list[tuple[Site, Obstacles]]:
        """Every site of the clinic with its obstacles for the stay, the fewest first."""
        sites = [Site(unit, place) for unit in self.day.units for place in self.day.places if place.id in unit.places]
        found = [(site, merged(self._at(start, stay, spaced, site))) for site in sites]
        return sorted(found, key=lambda way: weight(way[1]))

    def _at(self, start: int, stay: StayShape, spaced: Spaced, site: Site) -> Iterator[Obstacle]:
        ledger, unit, place = self.ledger, site.unit, site.place
        parts = [(i, self.visit.parts[i], start + spaced.offsets[i]) for i in stay.parts]
        wanted = Interval(start + stay.first, start + stay.first + stay.length)
        yield from self._unfit(site, [part for _, part, _ in parts], wanted)
        if not any(hours.covers(wanted) for hours in self.day.unit_hours(unit)):
            listed = ", ".join(str(hours) for hours in self.day.unit_hours(unit)) or "never"
            yield in_vain(
                "hours", unit.id, wanted, f"{wanted} is not within one service time of {unit.name} ({listed})"
            )
        yield from self._patients(unit, wanted)
        yield from held("place", unit.id, f"{unit.name} at {place.name}", ledger.elsewhere[unit.id, place.id], wanted)
        yield from min((self._bay(stay, bay, wanted) for bay in place.bays), key=weight)
        for i, part, begin in parts:
            minutes = Interval(begin, begin + part.minutes)
            yield from self._channels(i, part, unit, minutes)
            if part.suction_kpa is not None:
                pump = f"the pump of {unit.name} at {part.suction_kpa} kPa"
                yield from held("suction", unit.id, pump, ledger.suction[unit.id, part.suction_kpa], minutes)
        yield from self._battery(site, [(part, begin) for _, part, begin in parts], wanted)

    def _unfit(self, site: Site, parts: Sequence[Part], wanted: Interval) -> Iterator[Obstacle]:
        """Why the stay can never be there."""
        if not all(self.day.unit_may(part, site.unit) for part in parts):
            yield in_vain(
                "unit", site.unit.id, wanted, f"{site.unit.name} may not do this, or does not fit applicators"
            )
        missing = [tag for tag in self.visit.place_tags if tag not in site.place.tags]
        if missing:
            yield in_vain("unit", site.place.id, wanted, f"{site.place.name} is not {', '.join(missing)}")
        for part in parts:
            fixed = self.fixed[self.visit.parts.index(part)]
            if fixed.unit not in (None, site.unit.id):
                yield in_vain("fixed", site.unit.id, wanted, f"part {part.id} is fixed on {fixed.unit}")
            if fixed.place not in (None, site.place.id):
                yield in_vain("fixed", site.place.id, wanted, f"part {part.id} is fixed at {fixed.place}")

    def _patients(self, unit: Unit, wanted: Interval) -> Obstacles:
        full = span(*wanted) & ~self.ledger.patients[unit.id].at_least(1)
        if not full:
            return ()
        spans = {id: stay for id, stay in self._stays_on(unit).items() if span(*stay) & full}
        return by_visits("patients", unit.id, spans, f"{unit.name} takes {unit.patients_at_once} at once")

    def _stays_on(self, unit: Unit) -> dict[str, Interval]:
        """Each visit on the unit, from its first start there to its last end."""
        found: dict[str, Interval] = {}
        for id, placed in self.ledger.visits.items():
            visit = self.day.visit_by_id[id]
            spans = [
                (where.start, where.start + part.minutes)
                for part, where in zip(visit.parts, placed.parts, strict=True)
                if where.unit == unit.id
            ]
            if spans:
                found[id] = Interval(min(start for start, _ in spans), max(end for _, end in spans))
        return found

    def _bay(self, stay: StayShape, bay: str, wanted: Interval) -> Obstacles:
        found = list(held("bay", bay, f"bay {bay}", self.ledger.bays[bay], wanted))
        for i in stay.parts:
            if self.fixed[i].bay not in (None, bay):
                found.append(in_vain("fixed", bay, wanted, f"the visit is fixed in bay {self.fixed[i].bay}"))
        return tuple(found)

    def _channels(self, index: int, part: Part, unit: Unit, wanted: Interval) -> Obstacles:
        """The obstacles of the channels with the fewest."""
        if not part.channels and not self.fixed[index].channels:
            return ()
        choices = [self._named(unit, names, wanted) for names in self._named_ways(index, part, unit)]
        needs = ", ".join(f"{count} for {output}" for output, count in part.channels.items())
        never = in_vain(
            "channels", unit.id, wanted, f"{unit.name} does not have the channels that are wanted ({needs})"
        )
        return min(choices, key=weight, default=(never,))

    def _named(self, unit: Unit, names: Sequence[str], wanted: Interval) -> Obstacles:
        found: Obstacles = ()
        for id in names:
            channel = self.ledger.channels[unit.id, id]
            found += held("channels", f"{unit.id} {id}", f"channel {id} of {unit.name}", channel, wanted)
        return found

    def _named_ways(self, index: int, part: Part, unit: Unit) -> Iterator[tuple[str, ...]]:
        """Every way to give the part different channels that can drive what it needs."""
        fixed = self.fixed[index].channels
        able = {output: [c.id for c in unit.channels if output in c.drives] for output in part.channels}

        def walk(rest: Sequence[str], taken: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
            if not rest:
                yield taken
                return
            output, *others = rest
            for chosen in combinations([id for id in able[output] if id not in taken], part.channels[output]):
                if fixed is None or sorted(fixed.get(output, ())) == sorted(chosen):
                    yield from walk(others, (*taken, *chosen))

        if fixed is None or fixed.keys() == part.channels.keys():
            yield from walk(list(part.channels), ())

    def _battery(self, site: Site, parts: Sequence[tuple[Part, int]], wanted: Interval) -> Obstacles:
        """The visits without which the battery would last: as few as can be found by letting them back one by one."""
        battery = site.unit.battery
        if battery is None:
            return ()
        own = load_of(battery, wanted, site.place.id, parts)
        present = self.ledger.batteries.loads[site.unit.id]

        def lasts(without: set[str]) -> bool:
            others: list[Load] = [load for id, loads in present.items() if id not in without for load in loads]
            return keeps_reserve(battery, self.day.open, self.day.move_min, [*others, own])

        gone: set[str] = set()
        if lasts(gone):
            return ()
        what = f"the battery of {site.unit.name} would not last above its reserve"
        gone = set(present)
        if not lasts(gone):
            return (in_vain("battery", site.unit.id, wanted, f"{what} with this visit alone"),)
        for id in sorted(present):
            if lasts(gone - {id}):
                gone.discard(id)
        stays = self._stays_on(site.unit)
        return by_visits("battery", site.unit.id, {id: stays[id] for id in gone}, what)
