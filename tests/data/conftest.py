"""A clinic's database for each test, on SQLite and on PostgreSQL. The clinic is invented."""

import shutil
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import create_engine, make_url

from app.db.store import Store
from app.services.databases import make_database, open_database
from tests.data.front_desk import Desk, desk_in
from tests.data.servers import binaries, running_server
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
        _on_server(address, "CREATE DATABASE made")
        make_database(f"{address}/made", "Test clinic", ZONE)
        yield address


@pytest.fixture
def file_data(made_file: Path, tmp_path: Path) -> NewData:
    def new() -> str:
        return shutil.copyfile(made_file, tmp_path / f"clinic-{next(_numbers)}.db").as_posix()

    return new


@pytest.fixture(params=["sqlite", "postgresql"])
def new_data(request: pytest.FixtureRequest) -> NewData:
    if request.param == "sqlite":
        file: NewData = request.getfixturevalue("file_data")
        return file
    address: str = request.getfixturevalue("server")

    def new() -> str:
        name = f"clinic_{next(_numbers)}"
        _on_server(address, f"CREATE DATABASE {name} TEMPLATE made")
        return f"{address}/{name}"

    return new


@pytest.fixture(scope="session", params=["sqlite", "postgresql"])
def made_data(request: pytest.FixtureRequest) -> str:
    """The ``--data`` of a new clinic's database, to be copied and not touched."""
    if request.param == "sqlite":
        return str(request.getfixturevalue("made_file"))
    return f"{request.getfixturevalue('server')}/made"


@pytest.fixture(scope="session")
def copy_of(tmp_path_factory: pytest.TempPathFactory) -> CopyOf:
    folder = tmp_path_factory.mktemp("copies")

    def copy(data: str) -> str:
        number = next(_numbers)
        if not data.startswith("postgresql:"):
            return shutil.copyfile(data, folder / f"copy-{number}.db").as_posix()
        address, name = data.rsplit("/", 1)
        _on_server(address, f"CREATE DATABASE copy_{number} TEMPLATE {name}")
        return f"{address}/copy_{number}"

    return copy


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
def set_up_data(made_data: str, copy_of: CopyOf) -> str:
    """The ``--data`` of the clinic of ``set_up_clinic``, to be copied and not touched."""
    data = copy_of(made_data)
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


def _on_server(address: str, statement: str) -> None:
    engine = create_engine(
        make_url(f"{address}/postgres").set(drivername="postgresql+psycopg"), isolation_level="AUTOCOMMIT"
    )
    with engine.connect() as connection:
        connection.exec_driver_sql(statement)
    engine.dispose()
