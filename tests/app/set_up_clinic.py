"""The clinic of ``tests.data.set_up_clinic`` served: its pages, people of every role, and booked days. All invented.

The days of the tests are Mondays at least a week ahead of the machine's date, for pages go by that.
"""

import datetime
from pathlib import Path

from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.db.store import Store
from app.main import create_app
from app.queries.clinics import the_clinic
from app.queries.patients import rename_patients
from app.roles import Role
from app.services.accounts import make_account, new_sign_in_address
from app.services.databases import make_database, open_database
from app.services.days import KeptDay
from app.settings import Settings
from tests.data.set_up_clinic import a_booked_day, kept, set_up

NAMES = {"Ann Early": "Ann of the Test"}
HERE = {"host": "127.0.0.1", "sec-fetch-site": "same-origin"}
ZONE = "Europe/Dublin"
ROLES: tuple[Role, ...] = ("desk", "therapist", "manager", "administrator")


def a_monday(weeks: int = 1) -> datetime.date:
    """The Monday so many weeks after the coming one."""
    today = datetime.date.today()
    return today + datetime.timedelta(7 - today.weekday() + 7 * weeks)


MONDAY = a_monday()


def empty_clinic(folder: Path) -> Store:
    """A database as ``channelday init`` makes it."""
    data = str(folder / "clinic.db")
    make_database(data, "Test clinic", ZONE)
    return open_database(data)


def clinic_in(folder: Path) -> Store:
    """The clinic set up, with an account of each role and nobody booked."""
    store = empty_clinic(folder)
    set_up(store)
    for role in ROLES:
        make_account(store, f"The {role}", role, "T1" if role == "therapist" else "", actor="test")
    return store


def book_monday(store: Store, on: datetime.date = MONDAY) -> KeptDay:
    """V1 at 09:00 on U1, V2 at 10:00 on U2, V3 at 12:00 on U1; the patients have names."""
    a_booked_day(store, on)
    with store.writing() as session:
        clinic = the_clinic(session, to_write=True)
        rename_patients(session, clinic.id or 0, NAMES)
    return kept(store, on)


def app_of(store: Store) -> FastAPI:
    return create_app(Settings.found(), store)


def token(store: Store, role: Role = "manager") -> str:
    """Of an address that signs the person of the role in once."""
    return new_sign_in_address(store, f"The {role}", actor="test")


def client_of(store: Store, role: Role = "manager", app: FastAPI | None = None) -> TestClient:
    """Somebody of the role, signed in. Redirects are not followed."""
    client = TestClient(app or app_of(store), base_url="http://127.0.0.1", headers=HERE, follow_redirects=False)
    address = f"/once/{token(store, role)}"
    assert client.get(address).status_code == 303
    return client
