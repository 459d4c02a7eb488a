"""Starts of a visit of one stay whose parts can be spaced in few ways: as a rigid body for each of them."""

from collections.abc import Iterable

from solver.masks.shapes import Spaced
from solver.masks.starts import Starts


def rigid_starts(starts: Starts, spacings: Iterable[Spaced]) -> int:
    """Every start where nothing but a battery ties the parts together.

    Units without one are asked first, and each unit only about starts that no other has allowed; batteries come last,
    since each start costs a reckoning.
    """
    found = 0
    open_still: list[tuple[Spaced, int]] = []
    for spaced in spacings:
        left = starts.in_hands(spaced, ~found)
        found |= _fitting(starts, spaced, left, powered=False)
        if left & ~found:
            open_still.append((spaced, left))
    for spaced, left in open_still:
        found |= _fitting(starts, spaced, left & ~found, powered=True)
    return found


def _fitting(starts: Starts, spaced: Spaced, left: int, *, powered: bool) -> int:
    """Those of the starts left that some unit allows. ``powered``: of the units whose battery matters, else of the
    others."""
    batteries, found = starts.ledger.batteries, 0
    (stay,) = spaced.stays
    for site in starts.shape.sites(stay.parts):
        if not left:
            break
        if batteries.matters(site.unit.id) is powered:
            fitting = starts.of_site(stay, spaced, site, left)
            if powered and fitting:
                fitting = batteries.lasting(site, starts.shape.draw(spaced, stay), fitting)
            found |= fitting
            left &= ~fitting
    return found
