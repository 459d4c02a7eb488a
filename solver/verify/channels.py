"""Each part has as many channels of its unit as it needs, each able to drive its output and driving nothing else."""

from collections import Counter, defaultdict
from collections.abc import Iterator

from solver.clock import Interval
from solver.names import RuleName
from solver.problem import Day
from solver.schedule import Plan
from solver.verify.breach import Breach
from solver.verify.sweep import close_pairs
from solver.verify.walk import PartAt, parts_of, unit_name


class Channels:
    name: RuleName = "channels"

    def check(self, day: Day, plan: Plan) -> Iterator[Breach]:
        held: dict[tuple[str, str], list[tuple[Interval, PartAt]]] = defaultdict(list)
        for at in parts_of(day, plan):
            for text in (*self._needs(at), *self._drives(day, at)):
                yield Breach(self.name, text)
            if at.placed.unit in day.unit_by_id:
                for channel in {channel for ids in at.placed.channels.values() for channel in ids}:
                    held[at.placed.unit, channel].append((at.interval, at))
        for (unit, channel), spans in held.items():
            for one, other in close_pairs(spans):
                text = f"{one} and {other} overlap and both have the channel {channel} of {unit_name(day, unit)}"
                yield Breach(self.name, text)

    def _needs(self, at: PartAt) -> Iterator[str]:
        for output, count in at.part.channels.items():
            given = len(set(at.placed.channels.get(output, ())))
            if given != count:
                yield f"{at} needs {count} channels for {output} and has {given}"
        for output, ids in at.placed.channels.items():
            if ids and output not in at.part.channels:
                yield f"{at} has the channel {', '.join(ids)} for {output}, which it does not need"
        named = Counter(channel for ids in at.placed.channels.values() for channel in ids)
        for channel in (channel for channel, times in named.items() if times > 1):
            yield f"{at} names the channel {channel} more than once"

    def _drives(self, day: Day, at: PartAt) -> Iterator[str]:
        unit = day.unit_by_id.get(at.placed.unit)
        if unit is None:
            return
        for output, ids in at.placed.channels.items():
            for id in ids:
                channel = unit.channel(id)
                if channel is None:
                    yield f"{at}: {unit.name} has no channel {id!r}"
                elif output in at.part.channels and output not in channel.drives:
                    yield f"{at}: the channel {id} of {unit.name} cannot drive {output}"
