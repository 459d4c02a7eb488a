"""Versions are never altered, so a session reads each of them once."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TypeVar

from sqlmodel import Session

_T = TypeVar("_T")


def read_once(
    session: Session, kind: str, ids: Iterable[int], read: Callable[[Session, Sequence[int]], Mapping[int, _T]]
) -> Mapping[int, _T]:
    """What ``read`` gives of the versions, by id. ``kind``: what they are of and how they are read."""
    known: dict[int, _T] = session.info.setdefault(("versions", kind), {})
    missing = [id for id in dict.fromkeys(ids) if id not in known]
    if missing:
        known.update(read(session, missing))
    return known


def found_once(session: Session, kind: str, of: int, digest: str, find: Callable[[], int | None]) -> int | None:
    """The id of the version of the thing ``of`` with the digest, as ``find`` finds it; None where there is none yet."""
    known: dict[tuple[int, str], int] = session.info.setdefault(("digests", kind), {})
    id = known.get((of, digest))
    if id is None and (id := find()) is not None:
        known[of, digest] = id
    return id
