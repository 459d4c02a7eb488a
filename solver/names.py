"""The names of the rules and the aims: the same in files, code and screens."""

from typing import Literal, get_args

RuleName = Literal[
    "grid", "hours", "patient", "unit", "channels", "patients", "place", "bay",
    "suction", "applicator", "hands", "therapist", "watch", "break", "battery", "fixed",
]  # fmt: skip
AimName = Literal["placed", "stable", "wish", "therapist", "wait", "finish"]
Hands = Literal["therapist", "anyone", "nobody"]
StaffKind = Literal["therapist", "assistant"]
PlanStatus = Literal["optimal", "feasible", "infeasible"]

RULES: tuple[RuleName, ...] = get_args(RuleName)
AIMS: tuple[AimName, ...] = get_args(AimName)
