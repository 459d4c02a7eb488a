"""Units, and what each version of a unit is."""

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from app.models.columns import Table, least_check


class Unit(Table, table=True):
    """A therapy unit by its code, which day files call its id."""

    __table_args__ = (UniqueConstraint("clinic_id", "code"),)

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id")
    code: str
    is_retired: bool = False
    current_version: int | None = None
    set_up_version: int = 0


class UnitVersion(Table, table=True):
    """Never altered. ``digest`` tells whether a unit of a day file is one that is known."""

    __table_args__ = (
        UniqueConstraint("unit_id", "version"),
        UniqueConstraint("unit_id", "digest"),
        least_check("patients_at_once", 1),
    )

    id: int | None = Field(default=None, primary_key=True)
    unit_id: int = Field(foreign_key="unit.id")
    version: int
    digest: str
    name: str
    patients_at_once: int


class UnitPlace(Table, table=True):
    """A place where the unit may stand."""

    unit_version_id: int = Field(foreign_key="unit_version.id", primary_key=True)
    place_id: int = Field(foreign_key="place.id", primary_key=True)
    position: int
