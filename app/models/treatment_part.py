"""The parts of a treatment version, and their phases."""

from sqlalchemy import ForeignKeyConstraint, UniqueConstraint
from sqlmodel import Field

from app.models.columns import JsonValue, Table, least_check, one_of_check

_PART = ("treatment_version_id", "part")
_OF_PART = ["treatment_part.treatment_version_id", "treatment_part.part"]


class TreatmentPart(Table, table=True):
    """``part`` counts from 0; ``channels``: how many by output; ``any_unit``: there are no rows of ``PartUnit``.

    From ``mode`` on it is what the clinician prescribed, in their words and numbers; no day file has it.
    """

    __table_args__ = (
        UniqueConstraint("treatment_version_id", "code"),
        least_check("suction_kpa"),
        least_check("max_wait_min"),
        least_check("intensity_low"),
        least_check("intensity_high"),
    )

    treatment_version_id: int = Field(foreign_key="treatment_version.id", primary_key=True)
    part: int = Field(primary_key=True)
    code: str
    channels: dict[str, int] = Field(sa_type=JsonValue)
    suction_kpa: int | None = None
    skill: str | None = None
    any_unit: bool
    max_wait_min: int | None = None
    mode: str = ""
    duty: str | None = None
    intensity_low: float | None = None
    intensity_high: float | None = None
    intensity_unit: str = ""
    placement: str = ""
    preparation: list[str] = Field(default_factory=list, sa_type=JsonValue)


class TreatmentPhase(Table, table=True):
    __table_args__ = (
        ForeignKeyConstraint(_PART, _OF_PART),
        least_check("minutes", 1),
        one_of_check("hands", "therapist", "anyone", "nobody"),
    )

    treatment_version_id: int = Field(primary_key=True)
    part: int = Field(primary_key=True)
    phase: int = Field(primary_key=True)
    minutes: int
    hands: str
    is_running: bool


class PartApplicator(Table, table=True):
    """How many items of a pool the part needs."""

    __table_args__ = (ForeignKeyConstraint(_PART, _OF_PART), least_check("count", 1))

    treatment_version_id: int = Field(primary_key=True)
    part: int = Field(primary_key=True)
    applicator_id: int = Field(foreign_key="applicator.id", primary_key=True)
    position: int
    count: int


class PartUnit(Table, table=True):
    """A unit that may do the part."""

    __table_args__ = (ForeignKeyConstraint(_PART, _OF_PART),)

    treatment_version_id: int = Field(primary_key=True)
    part: int = Field(primary_key=True)
    unit_id: int = Field(foreign_key="unit.id", primary_key=True)
    position: int
