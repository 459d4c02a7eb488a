"""The visits of a day file: parts, phases, and what is fixed; and one visit in a file of its own."""

from solver.checks import filled
from solver.names import Hands
from solver.problem import Day
from solver.reading import stand_ins
from solver.reading.clinic_reader import IDS, TEXTS
from solver.reading.faults import Faults, RefusedError
from solver.reading.keyed import Keyed
from solver.reading.kinds import CLOCK, FLAG, INTERVALS, TEXT, WHOLE, Kind, list_of, nullable, object_of, one_of
from solver.reading.placed_reader import NAMED
from solver.references import visit_reference_faults
from solver.unread import Unread
from solver.visits import Fixed, FixedPart, Part, Phase, Visit

_HANDS_WORDS: tuple[Hands, ...] = ("therapist", "anyone", "nobody")
_HANDS: Kind[Hands] = one_of(_HANDS_WORDS)
_COUNTS_BY_OUTPUT = object_of("output", WHOLE, lambda: 1)
_COUNTS_BY_APPLICATOR = object_of("applicator", WHOLE, lambda: 1)


def read_visit_value(value: object, day: Day) -> Visit:
    """The visit of a parsed file, for the clinic of the day. Raises InputError with every fault."""
    faults = Faults()
    try:
        visit = VISIT.read(faults, "", value)
        faults.merge("", visit_reference_faults(day.units, day.applicators, day.places, day.staff, visit))
    except RefusedError:
        visit = None
    faults.refuse_if_any()
    assert visit is not None
    return visit


def _phase(faults: Faults, where: str, value: object) -> Phase:
    keyed = Keyed(faults, where, value, _PHASE.wanted)
    values = {
        "min": keyed.must("min", WHOLE, 1),
        "hands": keyed.must("hands", _HANDS, "nobody"),
        "running": keyed.must("running", FLAG, False),
    }
    keyed.close()
    return faults.build(where, _make_phase, values, {"min": lambda _: 1})


def _make_phase(min: int, hands: Hands, running: bool) -> Phase:
    return Phase(minutes=min, hands=hands, running=running)


def _part(faults: Faults, where: str, value: object) -> Part:
    keyed = Keyed(faults, where, value, _PART.wanted)
    values = {
        "id": keyed.must("id", TEXT, Unread()),
        "channels": keyed.must("channels", _COUNTS_BY_OUTPUT, {}),
        "applicators": keyed.may("applicators", _COUNTS_BY_APPLICATOR, {}),
        "suction_kpa": keyed.may("suction_kpa", nullable(WHOLE), None),
        "skill": keyed.may("skill", nullable(TEXT), None),
        "phases": keyed.must("phases", list_of(_PHASE, stand_ins.some_phase), (stand_ins.some_phase(),)),
        "units": keyed.may("units", IDS, None),
        "max_wait_min": keyed.may("max_wait_min", nullable(WHOLE), None),
    }
    keyed.close()
    return faults.build(where, Part, values, stand_ins.PART)


def _fixed_part(faults: Faults, where: str, value: object) -> FixedPart:
    keyed = Keyed(faults, where, value, _FIXED_PART.wanted)
    fixed = FixedPart(
        start=keyed.may("start", CLOCK, None),
        unit=keyed.may("unit", TEXT, Unread() if keyed.has("unit") else None),
        place=keyed.may("place", TEXT, None),
        bay=keyed.may("bay", TEXT, None),
        channels=keyed.may("channels", NAMED, None),
        items=keyed.may("items", NAMED, None),
    )
    keyed.close()
    return fixed


def _fixed(faults: Faults, where: str, value: object) -> Fixed:
    keyed = Keyed(faults, where, value, _FIXED.wanted)
    fixed = Fixed(
        therapist=keyed.may("therapist", nullable(TEXT), None),
        therapist_given=keyed.has("therapist"),
        parts=keyed.may("parts", list_of(_FIXED_PART, FixedPart), ()),
    )
    keyed.close()
    return fixed


def _visit(faults: Faults, where: str, value: object) -> Visit:
    keyed = Keyed(faults, where, value, VISIT.wanted)
    values = {
        "id": keyed.must("id", TEXT, Unread()),
        "patient": keyed.must("patient", TEXT, ""),
        "priority": keyed.may("priority", WHOLE, 1),
        "free": keyed.may("free", INTERVALS, None),
        "wish": keyed.may("wish", nullable(CLOCK), None),
        "therapist_wish": keyed.may("therapist_wish", nullable(TEXT), None),
        "therapist_must": keyed.may("therapist_must", nullable(TEXT), None),
        "place_tags": keyed.may("place_tags", TEXTS, ()),
        "same_unit": keyed.may("same_unit", FLAG, True),
    }
    parts = keyed.must("parts", list_of(_PART, stand_ins.unread_part), None)
    fixed = keyed.may("fixed", nullable(_FIXED), None)
    keyed.close()
    if parts is not None:
        faults.merge(where, filled("parts", parts, "part"))
    parts = parts or stand_ins.parts_for(fixed)
    harmless = stand_ins.visit(len(parts))
    return faults.build(where, Visit, {**values, "parts": parts, "fixed": fixed}, harmless)


_PHASE = Kind('an object {"min", "hands", "running"}', _phase)
_PART = Kind("an object (a part)", _part)
_FIXED_PART = Kind("an object (what is fixed of a part)", _fixed_part)
_FIXED = Kind("an object (what is fixed)", _fixed)
VISIT = Kind("an object (a visit)", _visit)
