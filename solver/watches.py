"""How many unattended parts each member of staff can watch."""

from solver.problem import Day


def watches_of(day: Day) -> dict[str, tuple[int, int]]:
    """Each member's watch with free and with busy hands: at most one more than the day has parts.

    More is never used, not even when one visit is added to a full day, since that runs one part at a time.
    """
    parts = sum(len(visit.parts) for visit in day.visits) + 1
    return {member.id: (min(member.watch_free, parts), min(member.watch_busy, parts)) for member in day.staff}
