"""The sizes of the bench's days, and how long such a clinic's day is."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """How big a clinic is. ``open`` and ``close`` in minutes from midnight: longer where more is to be done a unit."""

    units: int
    visits: int
    staff: int
    therapists: int
    places: int
    open: int
    close: int


SIZES = {
    "S": Size(units=2, visits=14, staff=2, therapists=2, places=2, open=9 * 60, close=13 * 60),
    "M": Size(units=4, visits=45, staff=5, therapists=3, places=3, open=8 * 60, close=14 * 60),
    "L": Size(units=8, visits=110, staff=10, therapists=6, places=6, open=8 * 60, close=16 * 60),
    "XL": Size(units=20, visits=380, staff=26, therapists=17, places=15, open=8 * 60, close=19 * 60),
}
