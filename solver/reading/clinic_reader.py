"""The clinic of a day file: units, applicators, places and staff."""

from solver.checks import LARGEST
from solver.clinic import Applicator, Battery, Break, Channel, Place, StaffMember, Unit
from solver.clock import Interval
from solver.names import StaffKind
from solver.reading import stand_ins
from solver.reading.faults import Faults
from solver.reading.keyed import Keyed
from solver.reading.kinds import INTERVAL, INTERVALS, TEXT, WHOLE, Kind, list_of, nullable, object_of, one_of
from solver.unread import Unread

TEXTS = list_of(TEXT)
IDS = list_of(TEXT, Unread)
_KINDS: tuple[StaffKind, ...] = ("therapist", "assistant")
_STAFF_KIND: Kind[StaffKind] = one_of(_KINDS)
_WATTS = object_of("output", WHOLE, int)


def _channel(faults: Faults, where: str, value: object) -> Channel:
    keyed = Keyed(faults, where, value, _CHANNEL.wanted)
    channel = Channel(id=keyed.must("id", TEXT, Unread()), drives=keyed.must("drives", TEXTS, ()))
    keyed.close()
    return channel


def _battery(faults: Faults, where: str, value: object) -> Battery:
    keyed = Keyed(faults, where, value, _BATTERY.wanted)
    values = {
        "capacity_wh": keyed.must("capacity_wh", WHOLE, 0),
        "start_pct": keyed.may("start_pct", WHOLE, 100),
        "reserve_pct": keyed.must("reserve_pct", WHOLE, 0),
        "standby_w": keyed.must("standby_w", WHOLE, 0),
        "draw_w": keyed.must("draw_w", _WATTS, {}),
        "pump_w": keyed.may("pump_w", WHOLE, 0),
        "charge_w": keyed.must("charge_w", WHOLE, 0),
        "min_charge_min": keyed.may("min_charge_min", WHOLE, 15),
    }
    keyed.close()
    return faults.build(where, Battery, values, stand_ins.BATTERY)


def _unit(faults: Faults, where: str, value: object) -> Unit:
    keyed = Keyed(faults, where, value, UNIT.wanted)
    values = {
        "id": keyed.must("id", TEXT, Unread()),
        "name": keyed.may("name", TEXT, ""),
        "channels": keyed.must("channels", list_of(_CHANNEL, stand_ins.unread_channel), (stand_ins.unread_channel(),)),
        "patients_at_once": keyed.must("patients_at_once", WHOLE, 1),
        "places": keyed.must("places", IDS, ()),
        "hours": keyed.may("hours", INTERVALS, None),
        "battery": keyed.may("battery", nullable(_BATTERY), None),
    }
    keyed.close()
    return faults.build(where, Unit, values, stand_ins.UNIT)


def _applicator(faults: Faults, where: str, value: object) -> Applicator:
    keyed = Keyed(faults, where, value, APPLICATOR.wanted)
    values = {
        "id": keyed.must("id", TEXT, Unread()),
        "name": keyed.may("name", TEXT, ""),
        "items": keyed.must("items", IDS, (Unread(),)),
        "fits": keyed.may("fits", IDS, None),
        "turnaround_min": keyed.must("turnaround_min", WHOLE, 0),
    }
    keyed.close()
    return faults.build(where, Applicator, values, stand_ins.APPLICATOR)


def _place(faults: Faults, where: str, value: object) -> Place:
    keyed = Keyed(faults, where, value, PLACE.wanted)
    values = {
        "id": keyed.must("id", TEXT, Unread()),
        "name": keyed.may("name", TEXT, ""),
        "bays": keyed.must("bays", IDS, (Unread(),)),
        "tags": keyed.may("tags", TEXTS, ()),
    }
    keyed.close()
    return faults.build(where, Place, values, stand_ins.PLACE)


def _break(faults: Faults, where: str, value: object) -> Break:
    keyed = Keyed(faults, where, value, _BREAK.wanted)
    minutes = keyed.must("min", WHOLE, 1)
    between = keyed.must("between", INTERVAL, Interval(0, 1))
    keyed.close()
    return faults.build(where, _make_break, {"min": minutes, "between": between}, {"min": lambda _: 1})


def _make_break(min: int, between: Interval) -> Break:
    return Break(minutes=min, between=between)


def _member(faults: Faults, where: str, value: object) -> StaffMember:
    keyed = Keyed(faults, where, value, MEMBER.wanted)
    values = {
        "id": keyed.must("id", TEXT, Unread()),
        "name": keyed.may("name", TEXT, ""),
        "kind": keyed.must("kind", _STAFF_KIND, "therapist"),
        "skills": keyed.may("skills", TEXTS, ()),
        "hours": keyed.must("hours", INTERVALS, ()),
        "breaks": keyed.may("breaks", list_of(_BREAK), ()),
        "watch_free": keyed.may("watch_free", WHOLE, LARGEST if keyed.has("watch_free") else 0),
        "watch_busy": keyed.may("watch_busy", WHOLE, 0),
    }
    keyed.close()
    return faults.build(where, StaffMember, values, stand_ins.STAFF)


_CHANNEL = Kind('an object {"id", "drives"}', _channel)
_BATTERY = Kind("an object (a battery)", _battery)
_BREAK = Kind('an object {"min", "between"}', _break)
UNIT = Kind("an object (a unit)", _unit)
APPLICATOR = Kind("an object (an applicator)", _applicator)
PLACE = Kind("an object (a place)", _place)
MEMBER = Kind("an object (a staff member)", _member)
