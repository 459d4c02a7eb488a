"""The shape of a report, as its file has it. Minutes are whole, ratios are rounded to 6 places."""

from typing import Literal, TypedDict


class ChannelFigures(TypedDict):
    unit: str
    id: str
    in_service_min: int
    running_min: int
    held_min: int
    raw: float
    adjusted: float


class UnitFigures(TypedDict):
    id: str
    in_service_min: int
    occupied_min: int
    parallel_min: int
    peak_patients: int
    charging_min: int
    lowest_pct: float | None
    raw: float
    adjusted: float


class ApplicatorFigures(TypedDict):
    id: str
    items: int
    held_min: int
    turnaround_min: int
    raw: float
    adjusted: float


class BayFigures(TypedDict):
    id: str
    held_min: int
    turnover_min: int
    raw: float
    adjusted: float


class StaffFigures(TypedDict):
    id: str
    duty_min: int
    hands_min: int
    raw: float


class ClinicFigures(TypedDict):
    visits_placed: int
    visits_left_out: int
    peak_patients: int
    parallel_share: float
    patients_histogram: dict[str, int]
    lowest_free_watch: int | None
    counted_units: int


class Report(TypedDict):
    format: Literal["channelday-report/1"]
    channels: list[ChannelFigures]
    units: list[UnitFigures]
    applicators: list[ApplicatorFigures]
    bays: list[BayFigures]
    staff: list[StaffFigures]
    clinic: ClinicFigures
