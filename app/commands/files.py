"""The files a command is given: read and refused by name, and written only when the verifier agrees."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from solver.errors import Fault, InputError, PlanRefusedError
from solver.jsonio import check_target, plan_document, read_day, read_plan, read_visit, write_json
from solver.offering.loaded import LoadedPlan
from solver.problem import Day
from solver.schedule import Plan
from solver.verify import verify
from solver.visits import Visit


def load_day(path: Path) -> Day:
    """The day of the file. Raises InputError whose faults name the file."""
    with named(path):
        return read_day(path)


def load_plan(path: Path) -> Plan:
    """The plan of the file. Raises InputError whose faults name the file."""
    with named(path):
        return read_plan(path)


def load_visit(path: Path, day: Day) -> Visit:
    """The visit of the file, for the day's clinic. Raises InputError whose faults name the file."""
    with named(path):
        return read_visit(path, day)


def load_question(day_file: Path, plan_file: Path, visit_file: Path) -> tuple[LoadedPlan, Visit]:
    """A right plan of the day, and the visit that is asked about. Raises InputError whose faults name the file."""
    day = load_day(day_file)
    plan = load_plan(plan_file)
    visit = load_visit(visit_file, day)
    with named(plan_file):
        return LoadedPlan(day, plan), visit


def check_output(path: Path, *inputs: Path) -> None:
    """Refuse an output path that is an input, or where nothing can be written, before any work is done for it."""
    for given in inputs:
        if os.path.realpath(path) == os.path.realpath(given) or _same(path, given):
            fault = Fault(os.fspath(path), "this file is an input", "give another path to write to")
            raise InputError([fault])
    check_target(path)


def save_plan(path: Path, day: Day, plan: Plan) -> None:
    """Write the plan. Raises PlanRefusedError, and writes nothing, where the verifier finds a broken rule."""
    breaches = verify(day, plan)
    if breaches:
        raise PlanRefusedError(str(breach) for breach in breaches)
    write_json(path, plan_document(plan))


def _same(path: Path, other: Path) -> bool:
    try:
        return path.samefile(other)
    except (OSError, ValueError):
        return False


@contextmanager
def named(path: Path) -> Iterator[None]:
    """Faults found meanwhile name the file."""
    try:
        yield
    except InputError as error:
        raise type(error)(_in_file(fault, os.fspath(path)) for fault in error.faults) from None


def _in_file(fault: Fault, path: str) -> Fault:
    if fault.where == path:
        return fault
    return Fault(fault.where, fault.what, f"{fault.right} (in {path})")
