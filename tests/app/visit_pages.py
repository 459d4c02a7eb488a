"""The clinic of ``clinic_days`` for the pages of visits: its apps, and the rows of its visits."""

from fastapi import FastAPI

from app.services.visits.about import visit_ids
from tests.app.clinic_days import DATE, store_of


def row_of(app: FastAPI, code: str) -> int:
    return visit_ids(store_of(app), DATE)[code]
