"""The clinic that a database is of."""

from sqlmodel import Session, select

from app.models import Clinic
from solver.names import AIMS


def the_clinic(session: Session, *, to_write: bool = False) -> Clinic:
    """The clinic. ``to_write``: nobody else writes anything of it before the transaction ends."""
    query = select(Clinic).order_by(Clinic.name).limit(1)
    if to_write:
        query = query.with_for_update(key_share=True)
    return session.exec(query).one()


def add_clinic(session: Session, name: str, time_zone: str) -> Clinic:
    clinic = Clinic(name=name, time_zone=time_zone, aims=list(AIMS))
    session.add(clinic)
    session.flush()
    return clinic
