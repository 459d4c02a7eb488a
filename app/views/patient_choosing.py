"""Patients to choose from, found by what was typed."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PatientChoice:
    """``address``: of the page with the patient chosen."""

    name: str
    code: str
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenPatient:
    """``change``: the address of the page with nobody chosen."""

    id: int
    name: str
    code: str
    change: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPatients:
    """``room``: the address below which the choice is made; ``who``: patient or second; ``query``: what else is asked
    for there."""

    typed: str
    room: str
    who: str
    query: str
    patients: tuple[PatientChoice, ...]
