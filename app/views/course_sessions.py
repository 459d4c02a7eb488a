"""The sessions of a course as the desk reads them out."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionLine:
    """One session: ``when`` and ``where`` in words, the address of its day, days since the one before it."""

    number: int
    when: str
    times: str
    where: str
    therapist: str
    address: str
    gap: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CoursePage:
    """``hidden``: what the press that books them sends. ``undo``: what undoing sends; empty: there is nothing to undo.
    ``waits``: the patient is on the waiting list for it.

    ``trouble``: what kept it from being done, a line each. ``done``: what was done.
    """

    patient: str
    patient_address: str
    treatment: str
    prescribed: str
    booked: tuple[str, ...]
    first: str
    weeks: str
    wish: str
    action: str
    lines: tuple[SessionLine, ...]
    missing: str
    waits: bool
    hidden: tuple[tuple[str, str], ...]
    undo: tuple[tuple[str, str], ...] = ()
    trouble: tuple[str, ...] = ()
    done: str = ""
