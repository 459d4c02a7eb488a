"""The visits of a plan, which a day file's ``published`` holds too."""

from solver.reading.faults import Faults
from solver.reading.keyed import Keyed
from solver.reading.kinds import CLOCK, TEXT, Kind, list_of, nullable, object_of
from solver.schedule import PlacedPart, PlacedVisit
from solver.unread import Unread

NAMED = object_of("id", list_of(TEXT), tuple)
"""Channel ids by output, or item ids by applicator."""


def _part(faults: Faults, where: str, value: object) -> PlacedPart:
    keyed = Keyed(faults, where, value, _PART.wanted)
    part = PlacedPart(
        id=keyed.must("id", TEXT, Unread()),
        start=keyed.must("start", CLOCK, 0),
        unit=keyed.must("unit", TEXT, ""),
        place=keyed.must("place", TEXT, ""),
        bay=keyed.must("bay", TEXT, ""),
        channels=keyed.must("channels", NAMED, {}),
        items=keyed.must("items", NAMED, {}),
        hands=keyed.must("hands", list_of(nullable(TEXT)), ()),
    )
    keyed.close()
    return part


def _visit(faults: Faults, where: str, value: object) -> PlacedVisit:
    keyed = Keyed(faults, where, value, PLACED_VISIT.wanted)
    visit = PlacedVisit(
        id=keyed.must("id", TEXT, Unread()),
        therapist=keyed.must("therapist", nullable(TEXT), None),
        parts=keyed.must("parts", list_of(_PART, _unread_part), (_unread_part(),)),
    )
    keyed.close()
    if not visit.parts:
        faults.add(keyed.at("parts"), "the list is empty", "give at least one part")
    return visit


def unread_placed() -> PlacedVisit:
    return PlacedVisit(id=Unread(), therapist=None, parts=())


def _unread_part() -> PlacedPart:
    return PlacedPart(id=Unread(), start=0, unit="", place="", bay="", channels={}, items={}, hands=())


_PART = Kind("an object (a part in the plan)", _part)
PLACED_VISIT = Kind("an object (a visit in the plan)", _visit)
