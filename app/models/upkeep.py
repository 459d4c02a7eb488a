"""Upkeep: services, safety tests and calibrations that were done. Rows are added and never altered or removed."""

import datetime

from sqlalchemy import CheckConstraint
from sqlmodel import Field

from app.models.columns import Instant, Table, one_of_check

KINDS = ("service", "safety test", "calibration")


class Upkeep(Table, table=True):
    """One thing that was done to a unit, or to an item of an applicator. ``due_on``: the date by which it is to be done
    again, as the clinic says; None: no date was given. ``undoes_id``: this row takes back that one, and says the same.
    """

    __table_args__ = (
        one_of_check("kind", *KINDS),
        CheckConstraint("(unit_id IS NULL AND item <> '') OR (unit_id IS NOT NULL AND item = '')", name="thing"),
        CheckConstraint("due_on IS NULL OR due_on > done_on", name="due_on"),
    )

    id: int | None = Field(default=None, primary_key=True)
    clinic_id: int = Field(foreign_key="clinic.id", index=True)
    unit_id: int | None = Field(default=None, foreign_key="unit.id")
    item: str = ""
    kind: str
    done_on: datetime.date
    due_on: datetime.date | None = None
    note: str = ""
    at: datetime.datetime = Field(sa_type=Instant)
    actor: str
    undoes_id: int | None = Field(default=None, foreign_key="upkeep.id")
