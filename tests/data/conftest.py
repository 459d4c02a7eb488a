"""A clinic's database for each test, on SQLite and on PostgreSQL. The clinic is invented."""

import shutil
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest

from app.db.store import Store
from app.services.databases import make_database, open_database
from tests.data.front_desk import Desk, desk_in
from tests.data.servers import binaries, copied, dropped, new_database, running_server
from tests.data.set_up_clinic import set_up

ZONE = "Europe/Dublin"
_numbers = count(1)

NewData = Callable[[], str]
"""Gives the ``--data`` of another new clinic's database."""
CopyOf = Callable[[str], str]
"""Copies a database that nobody has open, and gives the ``--data`` of the copy."""


@pytest.fixture(scope="session")
def made_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A new clinic's file, to be copied and not touched."""
    path = tmp_path_factory.mktemp("made") / "clinic.db"
    make_database(str(path), "Test clinic", ZONE)
    return path


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The address of a server that holds the database ``made``, a new clinic's, to be copied and not touched."""
    folder = binaries()
    if folder is None:
        pytest.skip("Debian's PostgreSQL is not installed")
    with running_server(folder) as address:
        make_database(new_database(address, "made"), "Test clinic", ZONE)
        yield address


@pytest.fixture
def file_data(made_file: Path, tmp_path: Path) -> NewData:
    def new() -> str:
        return shutil.copyfile(made_file, tmp_path / f"clinic-{next(_numbers)}.db").as_posix()

    return new


@pytest.fixture(scope="session", params=["sqlite", "postgresql"])
def made_data(request: pytest.FixtureRequest) -> str:
    """The ``--data`` of a new clinic's database, to be copied and not touched."""
    if request.param == "sqlite":
        return str(request.getfixturevalue("made_file"))
    return f"{request.getfixturevalue('server')}/made"


@pytest.fixture(scope="session")
def kept_copy_of(tmp_path_factory: pytest.TempPathFactory) -> CopyOf:
    """For copies that are to be copied themselves: they stay as long as the server."""
    folder = tmp_path_factory.mktemp("copies")

    def copy(data: str) -> str:
        number = next(_numbers)
        if not data.startswith("postgresql:"):
            return shutil.copyfile(data, folder / f"copy-{number}.db").as_posix()
        return copied(data, f"copy_{number}")

    return copy


@pytest.fixture
def copy_of(kept_copy_of: CopyOf) -> Iterator[CopyOf]:
    """A server drops them after the test: each is ten megabytes in hundreds of files."""
    made: list[str] = []

    def copy(data: str) -> str:
        made.append(kept_copy_of(data))
        return made[-1]

    yield copy
    for data in made:
        if data.startswith("postgresql:"):
            dropped(data)


@pytest.fixture
def new_data(made_data: str, copy_of: CopyOf) -> NewData:
    return lambda: copy_of(made_data)


@pytest.fixture
def store(new_data: NewData) -> Iterator[Store]:
    opened = open_database(new_data())
    yield opened
    opened.close()


@pytest.fixture
def file_store(file_data: NewData) -> Iterator[Store]:
    opened = open_database(file_data())
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def set_up_data(made_data: str, kept_copy_of: CopyOf) -> str:
    """The ``--data`` of the clinic of ``set_up_clinic``, to be copied and not touched."""
    data = kept_copy_of(made_data)
    opened = open_database(data)
    set_up(opened)
    opened.close()
    return data


@pytest.fixture
def clinic(set_up_data: str, copy_of: CopyOf) -> Iterator[Store]:
    """A store of that clinic."""
    opened = open_database(copy_of(set_up_data))
    yield opened
    opened.close()


@pytest.fixture
def desk(clinic: Store) -> Desk:
    """Its front desk."""
    return desk_in(clinic)
