"""Starts of a visit of one stay whose parts can be spaced in few ways: as a rigid body for each of them."""

from collections.abc import Iterable

from solver.masks.shapes import Spaced
from solver.masks.starts import Starts


def rigid_starts(starts: Starts, spacings: Iterable[Spaced]) -> int:
    """Every start where nothing but a battery ties the parts together.

    Units without one are asked first, and each unit only about starts that no other has allowed; batteries come last,
    since each start costs a reckoning.
    """
    batteries, shape = starts.ledger.batteries, starts.shape
    found = 0
    open_still: list[tuple[Spaced, int]] = []
    for spaced in spacings:
        left = starts.in_hands(spaced, ~found)
        (stay,) = spaced.stays
        for site in shape.sites(stay.parts) if left else ():
            if not batteries.matters(site.unit.id):
                fitting = starts.of_site(stay, spaced, site, left)
                found |= fitting
                left &= ~fitting
                if not left:
                    break
        if left:
            open_still.append((spaced, left))
    for spaced, still in open_still:
        left = still & ~found
        (stay,) = spaced.stays
        for site in shape.sites(stay.parts) if left else ():
            if batteries.matters(site.unit.id):
                fitting = starts.of_site(stay, spaced, site, left)
                if fitting:
                    fitting = batteries.lasting(site, shape.draw(spaced, stay), fitting)
                    found |= fitting
                    left &= ~fitting
                    if not left:
                        break
    return found
