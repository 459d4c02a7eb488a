"""What several tests of the app begin with."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.app.clinic_days import app_in, store_of
from tests.app.floor_shown import Shown, Watch
from tests.app.openings_clinic import Clinic, clinic_in


@pytest.fixture
def shown(tmp_path: Path) -> Iterator[Shown]:
    watch = Watch()
    app, planning = app_in(tmp_path, clock=watch)
    yield Shown(app, watch)
    planning.close()
    store_of(app).close()


@pytest.fixture
def clinic(tmp_path: Path) -> Iterator[Clinic]:
    made = clinic_in(tmp_path)
    yield made
    made.desk.store.close()
