"""The clinic of ``clinic_days`` for the pages of visits: the rows of its visits, and a treatment that has a name."""

from fastapi import FastAPI
from sqlmodel import col, select

from app.models import Treatment
from app.services.visits.about import visit_ids
from tests.app.clinic_days import DATE, store_of


def row_of(app: FastAPI, code: str) -> int:
    return visit_ids(store_of(app), DATE)[code]


def name_treatment(app: FastAPI) -> None:
    """The treatment that came with Dee's visit, ten minutes in a therapist's hands, is in the catalogue from now on."""
    with store_of(app).writing() as session:
        last = session.exec(select(Treatment).order_by(col(Treatment.id).desc())).first()
        assert last is not None
        last.code, last.name = "hands", "Ten minutes"
