"""The app of a small clinic that is set up and has a catalogue, for the tests of the Openings page. Nobody is real.

It is noon of Monday 3 March 2031. Open 09:00–17:00 on weekdays; T1 treats, U1 and U2 stand at front. Patients: Ann
Early and Bea Later. Treatment: Knee pads, 20 minutes in T1's hands.
"""

import shutil
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from fastapi import FastAPI

from app.main import create_app
from app.services.databases import open_database
from app.settings import Settings
from tests.app.clinic_days import file_with
from tests.data.front_desk import Desk, clock, desk_in
from tests.data.set_up_clinic import set_up


@dataclass(frozen=True)
class Clinic:
    """``treatment``: the id of Knee pads."""

    app: FastAPI
    desk: Desk
    treatment: int = 1

    def ask(self, more: str = "", patient: int | None = None) -> str:
        """The address that asks for the treatment for Ann, or for another patient."""
        return f"/openings?patient={patient or self.desk.ann}&what=t{self.treatment}{more}"


def clinic_in(folder: Path) -> Clinic:
    data = folder / "clinic.db"
    shutil.copyfile(_as_set_up(), data)
    store = open_database(str(data))
    return Clinic(create_app(Settings.found(), store, clock=clock), desk_in(store))


@cache
def _as_set_up() -> Path:
    """The database with its set-up and accounts, made once in a process: each test has a copy of it."""
    return file_with("Test clinic", set_up)
