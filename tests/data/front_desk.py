"""The clinic of ``set_up_clinic`` with patients and treatments of the catalogue, to book from. All invented."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from sqlmodel import Session, col, select

from app.db.store import Store
from app.models import BookedVisit, TreatmentVersion
from app.services.courses import prescribe
from app.services.openings.asking import Limits, Wanted, asked_for
from app.services.openings.booking import Booked, book
from app.services.openings.ready import ReadyDays
from app.services.openings.search import Opening, search
from app.services.patients import make_patient
from app.services.treatments.catalogue import read_treatment
from app.services.treatments.writing import make_treatment
from tests.data.set_up_clinic import MONDAY

Form = dict[str, Any]


def clock() -> datetime:
    """A week before MONDAY, at noon."""
    return datetime(2031, 3, 3, 12)


def part(minutes: int = 20, **changed: Any) -> Form:
    phases = [{"min": str(minutes), "hands": "therapist", "running": True}]
    return {"id": "p1", "channels": {"pads": "1"}, "phases": phases, **changed}


def treatment_form(*parts: Form, name: str = "Knee pads") -> Form:
    return {"name": name, "body_site": "knee", "same_unit": True, "parts": list(parts or (part(),))}


@dataclass(frozen=True)
class Desk:
    """``ann`` and ``bea``: ids of patients; ``pads``: the id of a treatment's version, 20 minutes in T1's hands."""

    store: Store
    ready: ReadyDays
    ann: int
    bea: int
    pads: int

    def wanted(self, patient: int | None = None, course: int | None = None) -> Wanted:
        return Wanted(patient_id=patient or self.ann, treatment_version_id=self.pads, course_id=course)

    def search(self, limits: Limits, patient: int | None = None) -> tuple[Opening, ...]:
        return search(self.ready, asked_for(self.store, self.wanted(patient), limits), clock=clock).best

    def book(self, opening: Opening, limits: Limits, patient: int | None = None, course: int | None = None) -> object:
        wish = (self.wanted(patient, course), limits, opening.placed)
        return book(self.store, opening.date, [wish], read=opening.version, actor="desk", clock=clock)

    def booked(self, limits: Limits, patient: int | None = None, course: int | None = None) -> Booked:
        """The best opening, booked."""
        done = self.book(self.search(limits, patient)[0], limits, patient, course)
        assert isinstance(done, Booked)
        return done

    def prescribed(self) -> int:
        """A course of two sessions for Ann; its id."""
        form = {"sessions": "2", "least_days": "1", "most_days": "9", "prescribed_by": "Dr Example"}
        with self.store.reading() as session:
            version = session.exec(select(TreatmentVersion).where(TreatmentVersion.id == self.pads)).one()
        return prescribe(self.store, self.ann, version.treatment_id, form, prescribed_on=date(2031, 3, 3), actor="test")


def limits(days: int = 5, first: date = MONDAY, **given: Any) -> Limits:
    return Limits(first=first, last=first + timedelta(days=days - 1), **given)


def visits_now(session: Session) -> list[BookedVisit]:
    """The rows of all visits that are on a day."""
    query = select(BookedVisit).where(col(BookedVisit.is_removed).is_(False))
    return list(session.exec(query.order_by(col(BookedVisit.id))))


def desk_in(store: Store) -> Desk:
    treatment = read_treatment(store, make_treatment(store, treatment_form(), actor="test"))
    ann = make_patient(store, "Ann Early", actor="test").id
    bea = make_patient(store, "Bea Later", actor="test").id
    return Desk(store, ReadyDays(store), ann, bea, treatment.version_id)
