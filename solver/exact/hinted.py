"""A CP-SAT model in which every variable knows how to read its value off a plan.

So the model can be asked about any plan: whether it allows it, and with what value of each variable.
"""

from collections.abc import Callable, Hashable, Iterable, Sequence
from typing import TypeAlias, TypeVar

from ortools.sat.python import cp_model

from solver.clock import Interval
from solver.exact.facts import Facts
from solver.exact.held import Held, most_at_once
from solver.problem import Day
from solver.schedule import Plan

Expression: TypeAlias = cp_model.LinearExprT
Literal: TypeAlias = cp_model.IntVar
ReadOff = Callable[[Facts], int]
_Key = TypeVar("_Key", bound=Hashable)


class HintedModel:
    """The CP-SAT model of a day, ``cp``, with the ways that its variables are read off plans of the day."""

    def __init__(self, day: Day) -> None:
        self.day = day
        self.cp = cp_model.CpModel()
        self._read_off: list[tuple[cp_model.IntVar, ReadOff]] = []

    def boolean(self, name: str, read_off: ReadOff) -> Literal:
        return self._noted(self.cp.new_bool_var(name), read_off)

    def integer(self, name: str, least: int, most: int, read_off: ReadOff) -> cp_model.IntVar:
        return self._noted(self.cp.new_int_var(least, most, name), read_off)

    def _noted(self, variable: cp_model.IntVar, read_off: ReadOff) -> cp_model.IntVar:
        self._read_off.append((variable, read_off))
        return variable

    def choice(self, name: str, options: dict[_Key, ReadOff], present: Literal) -> dict[_Key, Literal]:
        """One literal per option, exactly one of them true where ``present`` is, none elsewhere."""
        if len(options) == 1:
            return dict.fromkeys(options, present)
        literals = {key: self.boolean(f"{name} {key}", read_off) for key, read_off in options.items()}
        self.cp.add(sum(literals.values()) == present)
        return literals

    def grouped(
        self,
        name: str,
        groups: dict[_Key, list[Literal]],
        read_off: Callable[[_Key], ReadOff],
    ) -> dict[_Key, Literal]:
        """One literal per group: true where one of the group's literals is (at most one can be)."""
        found = {}
        for key, literals in groups.items():
            if len(literals) == 1:
                found[key] = literals[0]
            else:
                found[key] = self.boolean(f"{name} {key}", read_off(key))
                self.cp.add(sum(literals) == found[key])
        return found

    def domain(self, values: Iterable[int]) -> cp_model.Domain:
        return cp_model.Domain.from_values(list(values))

    def within(
        self,
        name: str,
        span: tuple[Expression, Expression],
        allowed: Sequence[Interval],
        literal: Literal,
        read_off: Callable[[Facts], Interval | None],
    ) -> None:
        """The span lies in one of the intervals where the literal is true; ``read_off``: the span there, else None."""

        def lies_in(interval: Interval) -> ReadOff:
            def inside(plan: Facts) -> int:
                taken = read_off(plan)
                return int(taken is not None and interval.covers(taken))

            return inside

        start, end = span
        for interval, chosen in self.choice(name, {one: lies_in(one) for one in allowed}, literal).items():
            self.cp.add(start >= interval.start).only_enforce_if(chosen)
            self.cp.add(end <= interval.end).only_enforce_if(chosen)

    def at_most(self, capacity: int, held: Sequence[Held]) -> None:
        """Never more than ``capacity`` held at once; nothing is added where that could not be."""
        peak = most_at_once(held)
        if peak is not None and peak <= capacity:
            return
        if capacity == 1 and all(isinstance(one.demand, int) and one.demand == 1 for one in held):
            self.cp.add_no_overlap([one.interval for one in held])
        else:
            self.cp.add_cumulative([one.interval for one in held], [one.demand for one in held], capacity)

    def hint(self, plan: Plan) -> None:
        """Give the plan to the solver as a complete hint, in place of any earlier one."""
        facts = Facts(self.day, plan)
        self.forget_hint()
        for variable, read_off in self._read_off:
            self.cp.add_hint(variable, read_off(facts))

    def forget_hint(self) -> None:
        self.cp.clear_hints()  # type: ignore[no-untyped-call]
