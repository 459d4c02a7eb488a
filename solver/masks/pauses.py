"""Where a break can be taken in a plan in which nothing else changes."""

from random import Random

from solver.clinic import Break, StaffMember
from solver.masks.bits import ALL, minutes_of, runs, span
from solver.masks.ledger import Ledger
from solver.schedule import PlacedBreak


def break_starts(ledger: Ledger, member: StaffMember, wanted: Break) -> int:
    """Every start at which the member can take the break: a set of minutes."""
    day = ledger.day
    first = max(day.open, wanted.between.start)
    last = min(day.close, wanted.between.end) - wanted.minutes
    watch = ledger.watches[member.id][0]
    missed = ledger.on_duty[member.id] & ~ledger.watch.at_least(watch)
    return (
        ledger.grid
        & span(first, last + 1)
        & ledger.staff[member.id].runs(wanted.minutes)
        & runs(ALL & ~missed, wanted.minutes)
    )


def take_break(
    ledger: Ledger, member: StaffMember, index: int, random: Random | None = None, within: int = ALL
) -> bool:
    """Add the member's break number ``index`` to the ledger where it costs least duty; False where none fits.

    Ties go to the start nearest the middle of its window, or at random. ``within``: the starts that are looked at.
    """
    wanted = member.breaks[index]
    duty, middle = ledger.on_duty[member.id], (wanted.between.start + wanted.between.end - wanted.minutes) / 2

    def rank(start: int) -> tuple[int, float]:
        lost = (span(start, start + wanted.minutes) & duty).bit_count()
        return lost, random.random() if random else abs(start - middle)

    starts = list(minutes_of(break_starts(ledger, member, wanted) & within))
    if not starts:
        return False
    start = min(starts, key=rank)
    ledger.add_break(index, PlacedBreak(staff=member.id, start=start, end=start + wanted.minutes))
    return True
