"""A PostgreSQL server of our own, from Debian's binaries: on this machine only, in a folder that goes away."""

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path


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
        options = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories= -c fsync=off"
        _as_server([folder / "pg_ctl", "-D", home / "data", "-l", home / "log", "-w", "-o", options, "start"])
        try:
            yield f"postgresql://tests@127.0.0.1:{port}"
        finally:
            _as_server([folder / "pg_ctl", "-D", home / "data", "-m", "immediate", "stop"])
    finally:
        shutil.rmtree(home, ignore_errors=True)


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
