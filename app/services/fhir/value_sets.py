"""What the library does not check: codes against their value sets, and ends against starts.

The codes are those of FHIR R4 (hl7.org/fhir/R4): the value sets appointmentstatus, slotstatus, device-status,
event-status (Procedure.status) and request-status (ServiceRequest.status), each of them with a required binding.
"""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from solver.errors import Fault, InputError

Document = Mapping[str, Any]

STATUSES: Mapping[str, frozenset[str]] = {
    "Appointment": frozenset(
        {
            *("proposed", "pending", "booked", "arrived", "fulfilled", "cancelled", "noshow"),
            *("entered-in-error", "checked-in", "waitlist"),
        }
    ),
    "Slot": frozenset({"busy", "free", "busy-unavailable", "busy-tentative", "entered-in-error"}),
    "Device": frozenset({"active", "inactive", "entered-in-error", "unknown"}),
    "Procedure": frozenset(
        {
            *("preparation", "in-progress", "not-done", "on-hold", "stopped", "completed"),
            *("entered-in-error", "unknown"),
        }
    ),
    "ServiceRequest": frozenset({"draft", "active", "on-hold", "revoked", "completed", "entered-in-error", "unknown"}),
}


def check_resources(resources: list[dict[str, Any]]) -> None:
    """Raises InputError with a fault for each bad status, each end before its start, and each loose reference."""
    faults = [fault for resource in resources for fault in _faults(resource)]
    known = {f"urn:uuid:{resource['id']}" for resource in resources}
    faults += [
        Fault(f"{resource['resourceType']} {resource['id']}", f"it refers to {reference}", "give that one too")
        for resource in resources
        for reference in _references(resource)
        if reference not in known
    ]
    if faults:
        raise InputError(faults)


def _faults(resource: Document) -> Iterator[Fault]:
    kind = resource["resourceType"]
    where = f"{kind} {resource['id']}"
    allowed = STATUSES.get(kind)
    if allowed is not None and resource.get("status") not in allowed:
        yield Fault(f"{where}.status", f"{resource.get('status')!r} is no such status", f"give {', '.join(allowed)}")
    if "start" in resource and resource.get("end") and _instant(resource["end"]) <= _instant(resource["start"]):
        yield Fault(where, f"it ends at {resource['end']}, not after its start", "give a later end")
    for name in ("performedPeriod", "planningHorizon"):
        period = resource.get(name, {})
        if "end" in period and _instant(period["end"]) < _instant(period["start"]):
            yield Fault(f"{where}.{name}", f"it ends at {period['end']}, before it starts", "give a later end")


def _instant(text: str) -> datetime:
    return datetime.fromisoformat(text)


def _references(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for key, entry in value.items():
            if key == "reference":
                yield entry
            else:
                yield from _references(entry)
    elif isinstance(value, list):
        for entry in value:
            yield from _references(entry)
