"""The patient whom an address or a form means."""

from fastapi import HTTPException, Request

from app.routes.parts import parts_of
from app.services.patients import PatientLine, read_patient
from solver.errors import InputError


def patient_meant(request: Request, id: int) -> PatientLine:
    """Raises 404 where there is none."""
    try:
        return read_patient(parts_of(request).store, id)
    except InputError:
        raise HTTPException(404) from None
