"""The rule ``channels``: channels enough for each part, different ones, no two parts on one at once."""

from collections.abc import Sequence

from solver.exact.alike import ChannelClass, channel_classes, channel_patterns
from solver.exact.facts import Facts
from solver.exact.held import Held
from solver.exact.hinted import ReadOff
from solver.exact.model import DayModel
from solver.names import RuleName


class ChannelsRule:
    """Channels of a unit that drive the same outputs are counted, and named afterwards.

    A part on a unit picks how many channels of each class it takes. Within a class the channels are alike, so that a
    capacity is all there is to keep, and names can be given in order of start.
    """

    name: RuleName = "channels"

    def constrain(self, model: DayModel) -> None:
        for unit in model.day.units:
            classes = channel_classes(model.day, unit)
            held: list[list[Held]] = [[] for _ in classes]
            for visit, i, part in model.all_parts():
                literal = model.on_unit(visit.id, i).get(unit.id)
                if literal is None:
                    continue
                fixed = None if "fixed" in model.without else visit.fixed_part(i).channels
                patterns = channel_patterns(part, fixed, classes)
                if not patterns:
                    model.cp.add(literal == 0)
                    continue
                chosen = model.choice(
                    f"{visit.id}/{i} channels of {unit.id}",
                    {pattern: takes(visit.id, i, unit.id, classes, pattern) for pattern in patterns},
                    literal,
                )
                model.channel_choice[visit.id, i, unit.id] = chosen
                for pattern, picked in chosen.items():
                    for k, count in enumerate(pattern):
                        if count:
                            held[k].append(Held(model.part_interval(visit, i, picked), count, visit.id))
            for channel_class, uses in zip(classes, held, strict=True):
                model.at_most(len(channel_class.ids), uses)


def takes(visit: str, index: int, unit: str, classes: Sequence[ChannelClass], pattern: tuple[int, ...]) -> ReadOff:
    """Reads off a plan whether the part takes so many channels of each class on the unit."""

    def read_off(plan: Facts) -> int:
        part = plan.part(visit, index)
        if part is None or part.unit != unit:
            return 0
        named = [id for ids in part.channels.values() for id in ids]
        return int(pattern == tuple(sum(id in one.ids for id in named) for one in classes))

    return read_off
