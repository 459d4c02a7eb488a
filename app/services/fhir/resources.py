"""The resources of a day: patients, staff, devices, schedules with their slots, appointments, requests, procedures."""

import datetime
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from app.services.floor.prescribed import Prescribed
from app.services.floor.reading import Reading
from app.services.floor.state import PartRun
from solver.clock import Interval
from solver.schedule import PlacedPart
from solver.visits import Part

Document = dict[str, Any]
Moment = datetime.datetime


@dataclass(frozen=True, slots=True)
class Source:
    """All that the resources are made of. ``codes``: patients' codes, and ``prescribed``, by visit.

    ``key``: of the clinic, so that two clinics' resources never have one id.
    """

    key: str
    clinic: str
    reading: Reading
    codes: Mapping[str, str]
    prescribed: Mapping[str, Prescribed]

    def id(self, *of: object) -> str:
        """The same for the same thing in every export."""
        return str(uuid.uuid5(uuid.NAMESPACE_URL, "/".join(["channelday", self.key, *map(str, of)])))

    def refer(self, *of: object, display: str = "") -> Document:
        reference = {"reference": f"urn:uuid:{self.id(*of)}"}
        return {**reference, "display": display} if display else reference

    def at(self, minute: int) -> str:
        return self.shown(self.reading.instant(minute))

    def shown(self, moment: Moment) -> str:
        return moment.astimezone(self.reading.zone).isoformat(timespec="seconds")


def resources_of(source: Source) -> list[Document]:
    """Every resource of the day; each with an id of its own."""
    return [
        *_people(source),
        *_devices(source),
        *_slots(source),
        *_appointments(source),
        *(one for code in source.reading.placed for one in _given(source, code)),
    ]


def _people(source: Source) -> Iterator[Document]:
    yield {"resourceType": "Organization", "id": source.id("clinic"), "name": source.clinic}
    names = {source.codes[visit.id]: visit.patient for visit in source.reading.day.visits}
    for code, name in sorted(names.items()):
        yield {
            "resourceType": "Patient",
            "id": source.id("patient", code),
            "identifier": [{"system": f"urn:uuid:{source.id('clinic')}", "value": code}],
            "name": [{"text": name}],
        }
    for member in source.reading.day.staff:
        yield {
            "resourceType": "Practitioner",
            "id": source.id("staff", member.id),
            "identifier": [{"system": f"urn:uuid:{source.id('clinic')}", "value": member.id}],
            "name": [{"text": member.name}],
        }


def _devices(source: Source) -> Iterator[Document]:
    state = source.reading.state
    for unit in source.reading.day.units:
        yield _device(source, "unit", unit.id, unit.name, "therapy unit", active=unit.id not in state.out)
    for pool in source.reading.day.applicators:
        for item in pool.items:
            yield _device(source, "item", item, item, pool.name, active=item not in state.aside)


def _device(source: Source, kind: str, code: str, name: str, what: str, *, active: bool) -> Document:
    return {
        "resourceType": "Device",
        "id": source.id(kind, code),
        "identifier": [{"system": f"urn:uuid:{source.id('clinic')}", "value": code}],
        "status": "active" if active else "inactive",
        "deviceName": [{"name": name, "type": "user-friendly-name"}],
        "type": {"text": what},
        "owner": source.refer("clinic"),
    }


def _slots(source: Source) -> Iterator[Document]:
    """A schedule for each channel of each unit, its minutes in service as busy and free slots."""
    day, out = source.reading.day, source.reading.state.out
    for unit in day.units:
        for channel in unit.channels:
            schedule = ("schedule", day.date, unit.id, channel.id)
            yield {
                "resourceType": "Schedule",
                "id": source.id(*schedule),
                "actor": [source.refer("unit", unit.id, display=unit.name)],
                "planningHorizon": {"start": source.at(day.open), "end": source.at(day.close)},
                "comment": f"channel {channel.id}: {', '.join(channel.drives)}",
            }
            busy = sorted(_held(source, unit.id, channel.id))
            for hours in day.unit_hours(unit):
                for span, status in _filled(hours, busy):
                    yield {
                        "resourceType": "Slot",
                        "id": source.id("slot", day.date, unit.id, channel.id, span.start),
                        "schedule": source.refer(*schedule),
                        "status": "busy-unavailable" if status == "free" and unit.id in out else status,
                        "start": source.at(span.start),
                        "end": source.at(span.end),
                    }


def _held(source: Source, unit: str, channel: str) -> Iterator[Interval]:
    for code in source.reading.placed:
        for part, where in _parts(source, code):
            if where.unit == unit and any(channel in names for names in where.channels.values()):
                yield Interval(where.start, where.start + part.minutes)


def _filled(hours: Interval, busy: list[Interval]) -> Iterator[tuple[Interval, str]]:
    """The hours as busy and free spans, in order."""
    last = hours.start
    for span in (one for one in busy if hours.start <= one.start < hours.end):
        if span.start > last:
            yield Interval(last, span.start), "free"
        yield span, "busy"
        last = span.end
    if last < hours.end:
        yield Interval(last, hours.end), "free"


def _parts(source: Source, code: str) -> list[tuple[Part, PlacedPart]]:
    parts = source.reading.day.visit_by_id[code].parts
    return list(zip(parts, source.reading.placed[code].parts, strict=True))


def _appointments(source: Source) -> Iterator[Document]:
    reading = source.reading
    for code, placed in reading.placed.items():
        first, last = placed.parts[0], reading.part(code, len(placed.parts) - 1)
        people = [source.refer("patient", source.codes[code])]
        if placed.therapist is not None:
            people.append(source.refer("staff", placed.therapist))
        people.append(source.refer("unit", first.unit))
        yield {
            "resourceType": "Appointment",
            "id": source.id("visit", reading.date, code),
            "status": reading.status.get(code, "booked"),
            "serviceType": [{"text": source.prescribed[code].treatment}],
            "start": source.at(first.start),
            "end": source.at(last[1].start + last[0].minutes),
            "minutesDuration": last[1].start + last[0].minutes - first.start,
            "participant": [{"actor": one, "status": "accepted"} for one in people],
            "basedOn": [source.refer("request", reading.date, code)],
        }


def _given(source: Source, code: str) -> Iterator[Document]:
    """What was prescribed for the visit, and each part of it that was begun."""
    reading, prescribed = source.reading, source.prescribed[code]
    patient = source.refer("patient", source.codes[code])
    request: Document = {
        "resourceType": "ServiceRequest",
        "id": source.id("request", reading.date, code),
        "status": "completed" if reading.is_over(code) and reading.state.visit(code).parts else "active",
        "intent": "order",
        "code": {"text": prescribed.treatment},
        "subject": patient,
    }
    if prescribed.prescribed_on is not None:
        request["authoredOn"] = prescribed.prescribed_on.isoformat()
    if prescribed.prescribed_by:
        request["requester"] = {"display": prescribed.prescribed_by}
    if prescribed.body_site:
        request["bodySite"] = [{"text": prescribed.body_site}]
    yield request
    for number, run in sorted(reading.state.visit(code).parts.items()):
        yield _procedure(source, code, number, run)
    if reading.state.visit(code).missed or reading.status.get(code) == "noshow":
        yield {
            "resourceType": "Procedure",
            "id": source.id("given", reading.date, code, 0),
            "status": "not-done",
            "statusReason": {"text": "the patient did not come"},
            "basedOn": [source.refer("request", reading.date, code)],
            "code": {"text": prescribed.treatment},
            "subject": patient,
        }


def _procedure(source: Source, code: str, number: int, run: PartRun) -> Document:
    reading = source.reading
    part, where = reading.part(code, number)
    period = {"start": source.shown(run.started)}
    if run.over is not None:
        period["end"] = source.shown(run.over)
    items = [item for names in where.items.values() for item in names]
    procedure: Document = {
        "resourceType": "Procedure",
        "id": source.id("given", reading.date, code, number),
        "status": _status(run),
        "basedOn": [source.refer("request", reading.date, code)],
        "code": {"text": ", ".join(part.channels)},
        "subject": source.refer("patient", source.codes[code]),
        "performedPeriod": period,
        "performer": [
            {"actor": source.refer("staff", who)} for who in dict.fromkeys(_hands(reading, code, number)) if who
        ],
        "usedReference": [source.refer("unit", where.unit), *(source.refer("item", item) for item in items)],
    }
    notes = [
        {"time": source.shown(said.at), "text": f"{said.kind} {said.when}".strip() + f": {said.text}"}
        for said in reading.state.visit(code).said.get(number, ())
    ]
    if notes:
        procedure["note"] = notes
    if run.reason:
        procedure["statusReason"] = {"text": run.reason}
    return procedure


def _hands(reading: Reading, code: str, number: int) -> Iterator[str | None]:
    run = reading.state.visit(code).parts[number]
    for phase in range(len(run.phases)):
        yield reading.hands(code, number, phase)


def _status(run: PartRun) -> str:
    if run.how is not None:
        return "stopped" if run.how == "stopped" else "completed"
    return "on-hold" if run.paused else "in-progress"
