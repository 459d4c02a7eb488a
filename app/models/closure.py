"""Closures: dates on which the clinic does not open."""

import datetime

from sqlmodel import Field

from app.models.columns import Table


class Closure(Table, table=True):
    clinic_id: int = Field(foreign_key="clinic.id", primary_key=True)
    date: datetime.date = Field(primary_key=True)
    reason: str = ""
