"""Which status of a visit may follow which.

A visit is ``booked`` from the moment it is on a day. ``arrived``: the patient is there. ``fulfilled``: it was given.
``cancelled``: it will not be, or was not, given; the patient or the clinic said so. ``noshow``: the patient did not
come. ``entered-in-error``: it should never have been booked. The last three and ``fulfilled`` are ends: only taking
back the step leads out of them. The codes are those of FHIR R4 Appointment.status; the rest of them are not in use.
"""

from collections.abc import Mapping

NEXT: Mapping[str, frozenset[str]] = {
    "booked": frozenset({"arrived", "cancelled", "noshow", "entered-in-error"}),
    "arrived": frozenset({"fulfilled", "cancelled", "entered-in-error"}),
    "fulfilled": frozenset(),
    "cancelled": frozenset(),
    "noshow": frozenset(),
    "entered-in-error": frozenset(),
}
NEED_A_REASON = frozenset({"cancelled", "entered-in-error"})
LEAVE_THE_DAY = frozenset({"cancelled", "entered-in-error"})
FREE_MINUTES = frozenset({"cancelled", "noshow", "entered-in-error"})
"""What was held can be given to others. Who did not come leaves the day while some of their time is still to come."""
ARE_THERE = frozenset({"arrived", "fulfilled"})
BEGUN = ARE_THERE | {"noshow"}
"""What happened on the day already: such a visit is not moved or taken out as if it had not been."""
