"""A day file to a Day, with every fault of the file found in one pass."""

from typing import Any

from solver.clock import DAY_MIN
from solver.errors import InputError
from solver.names import AIMS, AimName
from solver.problem import Day
from solver.reading import stand_ins
from solver.reading.clinic_reader import APPLICATOR, MEMBER, PLACE, UNIT
from solver.reading.faults import Faults, RefusedError
from solver.reading.keyed import Keyed
from solver.reading.kinds import CLOCK, DATE, WHOLE, Kind, list_of, one_of
from solver.reading.placed_reader import PLACED_VISIT, unread_placed
from solver.reading.visit_reader import VISIT

DAY_FORMAT = "channelday-day/1"
_AIM: Kind[AimName] = one_of(AIMS)


def read_day_value(value: object) -> Day:
    """The day of a parsed day file. Raises InputError with every fault."""
    faults = Faults()
    try:
        day = _day(faults, value)
    except RefusedError:
        day = None
    faults.refuse_if_any()
    assert day is not None
    return day


def _day(faults: Faults, value: object) -> Day:
    keyed = Keyed(faults, "", value, "one object, the day")
    keyed.same("format", DAY_FORMAT)
    values: dict[str, Any] = {
        "date": keyed.must("date", DATE, stand_ins.SOME_DATE),
        "step_min": keyed.may("step_min", WHOLE, 5),
        "open": keyed.must("open", CLOCK, None),
        "close": keyed.must("close", CLOCK, None),
        "move_min": keyed.may("move_min", WHOLE, 0),
        "bay_turnover_min": keyed.may("bay_turnover_min", WHOLE, 0),
        "units": keyed.must("units", list_of(UNIT, stand_ins.unread_unit), (stand_ins.unread_unit(),)),
        "applicators": keyed.must(
            "applicators", list_of(APPLICATOR, stand_ins.unread_applicator), (stand_ins.unread_applicator(),)
        ),
        "places": keyed.must("places", list_of(PLACE, stand_ins.unread_place), (stand_ins.unread_place(),)),
        "staff": keyed.must("staff", list_of(MEMBER, stand_ins.unread_member), (stand_ins.unread_member(),)),
        "visits": keyed.must("visits", list_of(VISIT, stand_ins.unread_visit), ()),
        "published": keyed.may("published", list_of(PLACED_VISIT, unread_placed), ()),
        "aims": keyed.may("aims", list_of(_AIM), AIMS),
    }
    keyed.close()
    if values["open"] is None or values["close"] is None:
        values |= {"open": 0, "close": DAY_MIN}
    try:
        return Day(**values)
    except InputError as error:
        faults.merge("", error.faults)
        raise RefusedError from None
