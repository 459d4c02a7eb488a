"""What the things of a day are called, where the solver names what was in the way."""

from solver.problem import Day


def resource_names(day: Day) -> dict[str, str]:
    """By what the solver calls them: units, their channels, places, bays, applicators, items and staff."""
    names = {unit.id: unit.name for unit in day.units} | {member.id: member.name for member in day.staff}
    names |= {pool.id: pool.name for pool in day.applicators} | {place.id: place.name for place in day.places}
    names |= {f"{unit.id} {one.id}": f"{unit.name}, {one.id}" for unit in day.units for one in unit.channels}
    names |= {bay: f"{place.name}, bay {bay}" for place in day.places for bay in place.bays}
    return names | {item: f"{pool.name}, {item}" for pool in day.applicators for item in pool.items}
