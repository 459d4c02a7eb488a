"""A day as one FHIR R4B bundle, written and checked by the library, and by what the library leaves unchecked."""

import datetime
import json
from typing import Any
from zoneinfo import ZoneInfo

from app.db.store import Store
from app.models.columns import now as instant_now
from app.queries.clinics import the_clinic
from app.services.days import kept_day
from app.services.fhir.resources import Source, resources_of
from app.services.fhir.value_sets import check_resources
from app.services.floor.prescribed import prescribed_for
from app.services.floor.room import FloorRoom
from solver.errors import Fault, InputError


def bundle_of_day(
    store: Store, room: FloorRoom, date: datetime.date, now: datetime.datetime | None = None
) -> dict[str, Any]:
    """The day's bundle, a ``collection``, as a document. It names patients. Raises InputError where no plan is kept."""
    from fhir.resources.R4B.bundle import Bundle  # here, because loading it takes a while

    reading, kept = room.read_once(date), kept_day(store, date)
    if reading is None or kept is None:
        right = "give a date that was planned"
        raise InputError([Fault("DATE", f"no plan of {date} is kept", right)])
    prescribed = {code: prescribed_for(store, reading.row_ids[code]) for code in reading.placed}
    with store.reading() as session:
        clinic = the_clinic(session)
        key, name, zone = clinic.calendar_key, clinic.name, ZoneInfo(clinic.time_zone)
    at = now or instant_now()
    source = Source(
        key=key,
        clinic=name,
        reading=reading,
        codes={visit.id: visit.patient for visit in kept.day.visits},
        prescribed={code: one for code, one in prescribed.items() if one is not None},
    )
    resources = resources_of(source)
    check_resources(resources)
    bundle = Bundle.model_validate(
        {
            "resourceType": "Bundle",
            "type": "collection",
            "timestamp": at.astimezone(zone).isoformat(timespec="seconds"),
            "entry": [{"fullUrl": f"urn:uuid:{one['id']}", "resource": one} for one in resources],
        }
    )
    document: dict[str, Any] = json.loads(bundle.model_dump_json())
    return document
