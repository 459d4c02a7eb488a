"""The shape of a simulation's result, as its file has it. Minutes are whole; means and shares have 4 decimals."""

from typing import Literal, TypedDict

from solver.names import RuleName


class WaitFigures(TypedDict):
    share: float
    mean_min: float
    p50_min: int
    p95_min: int


class WatchFigures(TypedDict):
    share: float
    mean_min: float
    p95_min: int


class FinishFigures(TypedDict):
    planned_min: int
    mean_min: float
    p95_min: int
    late_share: float
    late_mean_min: float
    after_close_share: float


class OvertimeFigures(TypedDict):
    staff: str
    share: float
    mean_min: float
    p95_min: int


class MissedFigures(TypedDict):
    share: float
    mean_visits: float


class HolderFigures(TypedDict):
    rule: RuleName
    resource: str
    visit: str | None
    share: float


class ExposedFigures(TypedDict):
    visit: str
    share: float
    mean_min: float
    p95_min: int
    held_by: HolderFigures


class SlackFigures(TypedDict):
    visit: str
    min: int | None


class Simulation(TypedDict):
    format: Literal["channelday-simulation/1"]
    date: str
    runs: int
    seed: int
    settings: dict[str, float | int]
    text: list[str]
    wait: WaitFigures
    watch_short: WatchFigures
    finish: FinishFigures
    overtime: list[OvertimeFigures]
    missed: MissedFigures
    exposed: list[ExposedFigures]
    slack: list[SlackFigures]
