"""How many unattended parts each member of staff can watch."""

from solver.problem import Day


def watches_of(day: Day) -> dict[str, tuple[int, int]]:
    """Each member's watch with free and with busy hands, no more than can ever run unattended at once."""
    parts = sum(len(visit.parts) for visit in day.visits)
    most = min(parts, sum(min(unit.patients_at_once, parts) for unit in day.units))
    return {member.id: (min(member.watch_free, most), min(member.watch_busy, most)) for member in day.staff}
