"""A plan file to a Plan. Only its shape is judged here: the verifier judges the rest."""

from collections.abc import Mapping

from solver.names import AIMS, RULES, AimName, PlanStatus, RuleName
from solver.reading.faults import Faults, RefusedError
from solver.reading.keyed import Keyed
from solver.reading.kinds import CLOCK, DATE, TEXT, WHOLE, Kind, list_of, object_of, one_of
from solver.reading.placed_reader import PLACED_VISIT
from solver.reading.stand_ins import SOME_DATE
from solver.schedule import Clash, LeftOut, PlacedBreak, Plan, Reason

PLAN_FORMAT = "channelday-plan/1"
_STATUSES: tuple[PlanStatus, ...] = ("optimal", "feasible", "infeasible")
_STATUS: Kind[PlanStatus] = one_of(_STATUSES)
_RULE: Kind[RuleName] = one_of(RULES)
_NUMBERS = object_of("aim", WHOLE, int)


def read_plan_value(value: object) -> Plan:
    """The plan of a parsed plan file. Raises InputError with every fault of its shape."""
    faults = Faults()
    try:
        plan = _plan(faults, value)
    except RefusedError:
        plan = None
    faults.refuse_if_any()
    assert plan is not None
    return plan


def _plan(faults: Faults, value: object) -> Plan:
    keyed = Keyed(faults, "", value, "one object, the plan")
    keyed.same("format", PLAN_FORMAT)
    day = keyed.must("date", DATE, SOME_DATE)
    status = keyed.must("status", _STATUS, None)
    plan = Plan(
        date=day,
        status=status or "feasible",
        visits=keyed.must("visits", list_of(PLACED_VISIT), ()),
        left_out=keyed.must("left_out", list_of(_LEFT_OUT), ()),
        breaks=keyed.must("breaks", list_of(_BREAK), ()),
        scores=keyed.must("scores", _AIM_VALUES, {}),
        bounds=keyed.must("bounds", _AIM_VALUES, {}),
        conflict=_conflict(keyed, status),
    )
    keyed.close()
    return plan


def _conflict(keyed: Keyed, status: PlanStatus | None) -> tuple[Clash, ...]:
    if status == "infeasible":
        return keyed.must("conflict", list_of(_CLASH), ())
    conflict = keyed.may("conflict", list_of(_CLASH), ())
    if status is not None and keyed.has("conflict"):
        keyed.faults.add("conflict", f"a plan that is {status} has no conflict", "leave the key out")
    return conflict


def _left_out(faults: Faults, where: str, value: object) -> LeftOut:
    keyed = Keyed(faults, where, value, _LEFT_OUT.wanted)
    left_out = LeftOut(id=keyed.must("id", TEXT, ""), reasons=keyed.must("reasons", list_of(_REASON), ()))
    keyed.close()
    return left_out


def _reason(faults: Faults, where: str, value: object) -> Reason:
    keyed = Keyed(faults, where, value, _REASON.wanted)
    reason = Reason(rule=keyed.must("rule", _RULE, RULES[0]), text=keyed.must("text", TEXT, ""))
    keyed.close()
    return reason


def _break(faults: Faults, where: str, value: object) -> PlacedBreak:
    keyed = Keyed(faults, where, value, _BREAK.wanted)
    placed = PlacedBreak(
        staff=keyed.must("staff", TEXT, ""), start=keyed.must("start", CLOCK, 0), end=keyed.must("end", CLOCK, 0)
    )
    keyed.close()
    return placed


def _clash(faults: Faults, where: str, value: object) -> Clash:
    keyed = Keyed(faults, where, value, _CLASH.wanted)
    clash = Clash(id=keyed.must("id", TEXT, ""), rules=keyed.must("rules", list_of(_RULE), ()))
    keyed.close()
    return clash


def _aim_values(faults: Faults, where: str, value: object) -> Mapping[AimName, int]:
    numbers = _NUMBERS.read(faults, where, value)
    for key in numbers.keys() - set(AIMS):
        faults.add(f"{where}.{key}", "there is no such aim", f"give values for {', '.join(AIMS)}")
    return {aim: numbers[aim] for aim in AIMS if aim in numbers}


_REASON = Kind('an object {"rule", "text"}', _reason)
_LEFT_OUT = Kind('an object {"id", "reasons"}', _left_out)
_BREAK = Kind('an object {"staff", "start", "end"}', _break)
_CLASH = Kind('an object {"id", "rules"}', _clash)
_AIM_VALUES = Kind(_NUMBERS.wanted, _aim_values)
