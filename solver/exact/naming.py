"""From a solution of the exact model to a plan: what was counted gets its names, in order of start.

Holds of things that are alike form an interval graph: given in order of start, each to whatever is free, as many names
as are held at once are enough.
"""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, TypeVar

from solver.clock import Interval
from solver.compose import plan_of
from solver.exact.alike import channel_classes, channel_patterns
from solver.exact.hinted import Expression, Literal
from solver.exact.model import DayModel, StayModel
from solver.schedule import PlacedBreak, PlacedPart, PlacedVisit, Plan
from solver.visits import Visit

_Option = TypeVar("_Option")
Value = Callable[[Expression], int]
"""The value of a variable or an expression in the solution."""


class Use(NamedTuple):
    """So many of a class are held over an interval, by whoever the key says."""

    interval: Interval
    key: Hashable
    size: int


@dataclass
class _Where:
    unit: str
    place: str
    bay: str = ""
    channels: dict[str, tuple[str, ...]] = field(default_factory=dict)
    items: dict[str, tuple[str, ...]] = field(default_factory=dict)


def name_uses(ids: Sequence[str], uses: Sequence[Use]) -> dict[Hashable, tuple[str, ...]]:
    """Different ids for every use, none held twice at once.

    Raises ValueError where more are held at once than there are: the counts were wrong.
    """
    ready = dict.fromkeys(ids, 0)
    named: dict[Hashable, tuple[str, ...]] = {}
    for use in sorted(uses, key=lambda use: (use.interval, str(use.key))):
        free = [id for id in ids if ready[id] <= use.interval.start]
        if len(free) < use.size:
            raise ValueError(f"{use.size} of {list(ids)} are needed at {use.interval} but {len(free)} are free")
        named[use.key] = tuple(free[: use.size])
        ready.update(dict.fromkeys(named[use.key], use.interval.end))
    return named


class Naming:
    """Reads one solution of a model."""

    def __init__(self, model: DayModel, value: Value) -> None:
        self.model = model
        self.day = model.day
        self.value = value
        self.starts = {id: [value(start) for start in starts] for id, starts in model.starts.items()}
        self.placed = [visit for visit in self.day.visits if value(model.present[visit.id])]
        self.stays = [stay for visit in self.placed for stay in model.stays[visit.id]]
        self.where = {(stay.visit.id, i): _Where(*self._chosen(stay.at)) for stay in self.stays for i in stay.parts}

    def plan(self) -> Plan:
        """The solution as a plan, without bounds and true reasons (see ``plan_of``)."""
        self._name_bays()
        self._name_channels()
        self._name_items()
        return self.sketch()

    def sketch(self) -> Plan:
        """The same without names of bays, channels and items: when, on which unit, at which place, in whose hands."""
        visits = {visit.id: self._placed(visit) for visit in self.placed}
        return plan_of(self.day, visits, {key: self._break(*key) for key in self.model.breaks})

    def _break(self, staff: str, index: int) -> PlacedBreak:
        start = self.value(self.model.breaks[staff, index])
        return PlacedBreak(staff=staff, start=start, end=start + self.day.staff_by_id[staff].breaks[index].minutes)

    def _chosen(self, options: dict[_Option, Literal]) -> _Option:
        return next(option for option, literal in options.items() if self.value(literal))

    def _interval(self, visit: Visit, first: int, last: int, tail: int = 0) -> Interval:
        starts = self.starts[visit.id]
        return Interval(starts[first], starts[last] + visit.parts[last].minutes + tail)

    def _name_bays(self) -> None:
        uses: dict[tuple[str, ...], list[Use]] = {}
        heads: dict[tuple[str, int], tuple[str, int]] = {}
        open_uses: dict[tuple[str, int], tuple[tuple[str, ...], Interval]] = {}
        for stay in self.stays:
            key = (stay.visit.id, stay.number)
            place = self.where[stay.visit.id, stay.parts[0]].place
            bays = self._chosen(self.model.in_bay[stay.visit.id, stay.number, place])
            interval = self._interval(stay.visit, stay.parts[0], stay.parts[-1], self.day.bay_turnover_min)
            giver = self._bay_giver(stay)
            heads[key] = key if giver is None else heads[stay.visit.id, giver]
            since = open_uses.get(heads[key], (bays, interval))[1].start
            open_uses[heads[key]] = (bays, Interval(since, interval.end))
        for key, (bays, interval) in open_uses.items():
            uses.setdefault(bays, []).append(Use(interval, key, 1))
        named = {key: bay for bays, held in uses.items() for key, (bay,) in name_uses(bays, held).items()}
        for stay in self.stays:
            for i in stay.parts:
                self.where[stay.visit.id, i].bay = named[heads[stay.visit.id, stay.number]]

    def _bay_giver(self, stay: StayModel) -> int | None:
        """The number of the visit's earlier stay that hands its bay to this one."""
        for (visit, one, later), handed in self.model.bay_handed_on.items():
            if (visit, later) == (stay.visit.id, stay.number) and any(self.value(literal) for literal in handed):
                return one
        return None

    def _name_channels(self) -> None:
        for unit in self.day.units:
            classes = channel_classes(self.day, unit)
            uses: list[list[Use]] = [[] for _ in classes]
            splits = {}
            for visit in self.placed:
                for i, part in enumerate(visit.parts):
                    if self.where[visit.id, i].unit != unit.id:
                        continue
                    patterns = channel_patterns(part, visit.fixed_part(i).channels, classes)
                    pattern = self._chosen(self.model.channel_choice[visit.id, i, unit.id])
                    splits[visit.id, i] = patterns[pattern]
                    for k, count in enumerate(pattern):
                        if count:
                            uses[k].append(Use(self._interval(visit, i, i), (visit.id, i), count))
            named = [name_uses(c.ids, held) for c, held in zip(classes, uses, strict=True)]
            for key, split in splits.items():
                rest = [list(names.get(key, ())) for names in named]
                self.where[key].channels = {
                    output: tuple(rest[k].pop(0) for k, count in enumerate(counts) for _ in range(count))
                    for output, counts in split.items()
                }

    def _name_items(self) -> None:
        for pool in self.day.applicators:
            uses: dict[tuple[str, ...], list[Use]] = {}
            for stay in self.stays:
                for thread, count in self.model.item_threads.get((stay.visit.id, stay.number, pool.id), {}).items():
                    interval = self._interval(stay.visit, thread.first, thread.last, pool.turnaround_min)
                    key = (stay.visit.id, stay.number, thread.first, thread.last, thread.items)
                    uses.setdefault(thread.items, []).append(Use(interval, key, self.value(count)))
            named = {key: ids for items, held in uses.items() for key, ids in name_uses(items, held).items()}
            for stay in self.stays:
                self._share_items(pool.id, stay, named)

    def _share_items(self, pool: str, stay: StayModel, named: dict[Hashable, tuple[str, ...]]) -> None:
        """Each part names the items of threads that begin or end at it, then as many passing by as it still needs."""
        threads = self.model.item_threads.get((stay.visit.id, stay.number, pool), {})
        for i in stay.parts:
            part = stay.visit.parts[i]
            if pool not in part.applicators:
                continue
            fixed = stay.visit.fixed_part(i).items
            ends: list[str] = []
            passing: list[str] = []
            for thread in threads:
                ids = named.get((stay.visit.id, stay.number, thread.first, thread.last, thread.items), ())
                if i in (thread.first, thread.last):
                    ends += ids
                elif thread.first < i < thread.last:
                    passing += ids
            if fixed is not None:
                passing.sort(key=lambda item: item not in fixed[pool])
            self.where[stay.visit.id, i].items[pool] = tuple([*ends, *passing][: part.applicators[pool]])

    def _placed(self, visit: Visit) -> PlacedVisit:
        therapist = self._chosen(self.model.therapist[visit.id]) if visit.needs_therapist else None
        parts = []
        for i, part in enumerate(visit.parts):
            where = self.where[visit.id, i]
            hands: list[str | None] = []
            for k, phase in enumerate(part.phases):
                if phase.hands == "anyone":
                    hands.append(self._chosen(self.model.anyone[visit.id, i, k]))
                else:
                    hands.append(therapist if phase.hands == "therapist" else None)
            parts.append(
                PlacedPart(
                    id=part.id,
                    start=self.starts[visit.id][i],
                    unit=where.unit,
                    place=where.place,
                    bay=where.bay,
                    channels=where.channels,
                    items=where.items,
                    hands=tuple(hands),
                )
            )
        return PlacedVisit(id=visit.id, therapist=therapist, parts=tuple(parts))
