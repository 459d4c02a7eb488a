"""How many unattended parts each member of staff can watch."""

from solver.problem import Day


def watches_of(day: Day) -> dict[str, tuple[int, int]]:
    """Each member's watch with free and with busy hands, at most as many as the day has parts: more is never used."""
    parts = sum(len(visit.parts) for visit in day.visits)
    return {member.id: (min(member.watch_free, parts), min(member.watch_busy, parts)) for member in day.staff}
