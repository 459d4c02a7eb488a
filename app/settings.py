"""Where the app finds the clinic's database, and its own templates, static files and demo data."""

from dataclasses import dataclass
from pathlib import Path

DEFAULT_DATA = "channelday.db"
DATA_VARIABLE = "CHANNELDAY_DATA"
"""Names the database in the environment: an address with a password in it does not belong on a command line."""

_PACKAGE = Path(__file__).resolve().parent


def bundled(name: str) -> Path:
    """The folder ``name``: inside the package in a wheel, beside it in a source tree.

    Inside goes first: beside an installed package, a folder of that name is somebody else's. Raises FileNotFoundError
    where neither is there.
    """
    for folder in (_PACKAGE / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"the folder {name!r} is missing: install Channelday again")


LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What one running app needs to know. ``seconds`` is what the page offers for planning again.

    ``hosts``: the names it answers to. ``secure``: people reach it by TLS, its own or a proxy's. ``invented``: its
    clinic is the demo's.
    """

    templates: Path
    static: Path
    seconds: int = 20
    hosts: frozenset[str] = LOOPBACK
    secure: bool = False
    invented: bool = False

    @classmethod
    def found(
        cls, *, seconds: int = 20, hosts: frozenset[str] = LOOPBACK, secure: bool = False, invented: bool = False
    ) -> "Settings":
        templates, static = bundled("templates"), bundled("static")
        return cls(templates=templates, static=static, seconds=seconds, hosts=hosts, secure=secure, invented=invented)
