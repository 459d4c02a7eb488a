"""Treatments of the catalogue. A booked visit keeps the version it was booked with."""

from datetime import date

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from app.models.columns import Table


class Treatment(Table, table=True):
    """``patient_id``: it is for this patient only, and in no catalogue.

    ``version``: which of its versions is prescribed from now on; ``edition`` counts changes of any kind.
    """

    __table_args__ = (UniqueConstraint("clinic_id", "code"),)

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id")
    code: str
    name: str
    patient_id: int | None = Field(default=None, foreign_key="patient.id", index=True)
    version: int = 1
    edition: int = 1
    is_retired: bool = False


class TreatmentVersion(Table, table=True):
    """Never altered. ``same_unit``: all parts on one unit, in one stay.

    ``digest`` is of all that the version says; ``scheduling_digest`` of what a day file says of it, and equal to the
    first where nothing else is said. ``based_on_id``: the version that a patient's own parameters were made from.
    """

    __table_args__ = (UniqueConstraint("treatment_id", "version"), UniqueConstraint("treatment_id", "digest"))

    id: int | None = Field(default=None, primary_key=True)
    treatment_id: int = Field(foreign_key="treatment.id")
    version: int
    digest: str = Field(index=True)
    scheduling_digest: str = Field(index=True)
    same_unit: bool
    body_site: str = ""
    based_on_id: int | None = Field(default=None, foreign_key="treatment_version.id")
    prescribed_by: str = ""
    prescribed_on: date | None = None
    note: str = ""
