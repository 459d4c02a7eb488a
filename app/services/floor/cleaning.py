"""What is being cleaned: items that nobody may have for a while."""

import datetime
from dataclasses import dataclass

from app.services.floor.reading import Reading

Moment = datetime.datetime


@dataclass(frozen=True, slots=True)
class Cleaning:
    """An item that is not to be used. ``until`` None: it was set aside, until somebody says that it is clean."""

    item: str
    pool: str
    until: Moment | None


def cleaning(reading: Reading, now: Moment) -> list[Cleaning]:
    """Items set aside, and those whose turnaround after their last use is not over and that nobody said are clean."""
    let_go = freed(reading)
    found: list[Cleaning] = []
    for pool in reading.day.applicators:
        for item in pool.items:
            if item in reading.state.aside:
                found.append(Cleaning(item, pool.name, None))
            elif item in let_go:
                until = let_go[item] + datetime.timedelta(minutes=pool.turnaround_min)
                clean = reading.state.clean.get(item)
                if until > now and (clean is None or clean < let_go[item]):
                    found.append(Cleaning(item, pool.name, until))
    return sorted(found, key=lambda one: (one.until is not None, one.until or now, one.item))


def freed(reading: Reading) -> dict[str, Moment]:
    """When each item that is in nobody's use was last let go. A stay keeps its items until its last part that names
    them."""
    let_go: dict[str, Moment] = {}
    in_use: set[str] = set()
    for code, run in reading.state.visits.items():
        if code not in reading.placed:
            continue
        keeps = reading.day.visit_by_id[code].same_unit and not reading.is_over(code)
        wanted: set[str] = set()
        for number, placed in reversed(list(enumerate(reading.placed[code].parts))):
            items, part = {item for names in placed.items.values() for item in names}, run.parts.get(number)
            over = None if part is None else part.over
            for item in items:
                if over is not None and not (keeps and item in wanted):
                    let_go[item] = max(let_go.get(item, over), over)
                elif part is not None:
                    in_use.add(item)
            wanted |= items
    return {item: at for item, at in let_go.items() if item not in in_use}
