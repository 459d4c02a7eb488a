"""A PostgreSQL server of our own, from Debian's binaries: on this machine only, in a folder that goes away.

What it does for the case that the machine loses power is off.
"""

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import psycopg

OPTIONS = "-c listen_addresses=127.0.0.1 -c unix_socket_directories= -c fsync=off -c full_page_writes=off"


def binaries() -> Path | None:
    """The folder of the newest server that is installed; None where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return found[-1].parent if found else None


@contextmanager
def running_server(folder: Path) -> Iterator[str]:
    """Starts a server and gives its address, without a database's name; stops it at the end."""
    home = Path(tempfile.mkdtemp(prefix="channelday-pg-"))
    try:
        if os.geteuid() == 0:
            shutil.chown(home, "postgres", "postgres")
        _as_server([folder / "initdb", "-D", home / "data", "-A", "trust", "-U", "tests", "-E", "UTF8", "--no-sync"])
        port = _free_port()
        options = f"-p {port} {OPTIONS}"
        _as_server([folder / "pg_ctl", "-D", home / "data", "-l", home / "log", "-w", "-o", options, "start"])
        try:
            yield f"postgresql://tests@127.0.0.1:{port}"
        finally:
            _as_server([folder / "pg_ctl", "-D", home / "data", "-m", "immediate", "stop"])
    finally:
        shutil.rmtree(home, ignore_errors=True)


def new_database(address: str, name: str) -> str:
    """Make an empty one on the server; gives its ``--data``."""
    _told(address, f"CREATE DATABASE {name}")
    return f"{address}/{name}"


def copied(data: str, name: str) -> str:
    """Copy a database that nobody has open, onto the same server; gives the copy's ``--data``."""
    address, template = data.rsplit("/", 1)
    _told(address, f"CREATE DATABASE {name} TEMPLATE {template} STRATEGY file_copy")
    return f"{address}/{name}"


def dropped(data: str) -> None:
    """Whoever has it open yet, as after a test that failed, is cut off."""
    address, name = data.rsplit("/", 1)
    _told(address, f"DROP DATABASE {name} WITH (FORCE)")


def _told(address: str, statement: str) -> None:
    with psycopg.connect(f"{address}/postgres", autocommit=True) as connection:
        connection.execute(statement.encode())


def _as_server(command: Sequence[str | Path]) -> None:
    """Run it as the user that may run a server: root may not."""
    as_user = ("runuser", "-u", "postgres", "--") if os.geteuid() == 0 else ()
    done = subprocess.run([*as_user, *command], cwd="/", stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False)
    assert done.returncode == 0, done.stderr.decode()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
