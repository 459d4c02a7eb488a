"""The invented clinic's database: its day moved to a date, its patients under codes, its people with accounts."""

import datetime
from dataclasses import dataclass, replace
from pathlib import Path

from app.clock import machine_zone
from app.db.store import Store
from app.queries.clinics import the_clinic
from app.queries.patients import rename_patients
from app.queries.visits import BookedWith
from app.roles import Role
from app.services.accounts import make_account, new_sign_in_address
from app.services.databases import make_database, open_database
from app.services.days import save_day
from app.services.demo_set_up import set_up_demo
from app.services.demo_treatments import (
    let_demo_patients_wait,
    make_demo_treatments,
    prescribe_demo_courses,
    versions_of,
)
from solver.jsonio import read_day

NAME = "Quillmere Physiotherapy"
ACTOR = "channelday demo"
PRESCRIBER = "Noor Halvorsen"


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody of the demo. ``staff``: their code where they treat patients."""

    name: str
    role: Role
    staff: str = ""


PEOPLE = (
    Person("Imani Dale", "desk"),
    Person("Noor Halvorsen", "therapist", "noor"),
    Person("Greta Lindqvist", "manager"),
    Person("Petr Savan", "administrator"),
)


def make_demo_clinic(folder: Path, day_file: Path, date: datetime.date) -> Store:
    """The database, made in the folder, with the day of the file as if it were the date; it has no plan yet.

    Raises InputError with every fault of the file.
    """
    written = read_day(day_file)
    names = sorted({visit.patient for visit in written.visits})
    codes = {name: f"P{number:03}" for number, name in enumerate(names, 1)}
    visits = tuple(replace(visit, patient=codes[visit.patient]) for visit in written.visits)
    day = replace(written, date=date, visits=visits)
    data = str(folder / "demo.db")
    make_database(data, NAME, machine_zone())
    store = open_database(data)
    set_up_demo(store, day, actor=ACTOR)
    make_demo_treatments(store, day, actor=ACTOR)
    booked = {id: BookedWith(version) for id, version in versions_of(store, day).items()}
    save_day(store, day, None, read=0, actor=ACTOR, booked=booked)
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        rename_patients(session, clinic.id or 0, {code: name for name, code in codes.items()})
    prescribe_demo_courses(store, date, PRESCRIBER, actor=ACTOR)
    let_demo_patients_wait(store, datetime.datetime.now(datetime.UTC), actor=ACTOR)
    for person in PEOPLE:
        make_account(store, person.name, person.role, person.staff, actor=ACTOR)
    return store


def sign_in_address(store: Store, person: Person) -> str:
    """The token of an address that signs the person in once."""
    return new_sign_in_address(store, person.name, actor=ACTOR)
