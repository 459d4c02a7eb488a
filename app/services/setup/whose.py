"""Whose the visits are that a change breaks, by name: for display only."""

import datetime
from collections import Counter
from collections.abc import Mapping

from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.days import count_days_from
from app.queries.patients import names_of_codes
from app.services.setup.changing import Effects


def names_in(store: Store, effects: Effects) -> Mapping[str, str]:
    """The patients' names by code; a name that several have is followed by the code."""
    codes = sorted({one.patient for one in effects.broken})
    with store.reading() as session:
        names = names_of_codes(session, the_clinic(session).id or 0, codes)
    shown = {code: names.get(code, code) for code in codes}
    often = Counter(shown.values())
    return {code: name if often[name] == 1 else f"{name} ({code})" for code, name in shown.items()}


def booked_days(store: Store, today: datetime.date) -> int:
    """How many days from today on a change may be about."""
    with store.reading() as session:
        return count_days_from(session, the_clinic(session).id or 0, today)
