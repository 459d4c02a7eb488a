"""Day, plan and visit files: read whole, with every fault found in one pass, and written whole or not at all."""

import os

from solver.problem import Day
from solver.reading.answers import offers_document, whynot_document
from solver.reading.day_reader import read_day_value
from solver.reading.documents import day_document, plan_document
from solver.reading.files import check_target, read_bytes, write_json
from solver.reading.json_text import parse_json
from solver.reading.plan_reader import read_plan_value
from solver.reading.visit_reader import read_visit_value
from solver.schedule import Plan
from solver.visits import Visit

__all__ = [
    "check_target",
    "day_document",
    "offers_document",
    "parse_day",
    "parse_plan",
    "plan_document",
    "read_day",
    "read_plan",
    "read_visit",
    "whynot_document",
    "write_json",
]


def parse_day(content: bytes) -> Day:
    """The day of a day file's bytes. Raises InputError with every fault; UnreadableError where it is no JSON."""
    return read_day_value(parse_json(content))


def parse_plan(content: bytes) -> Plan:
    """The plan of a plan file's bytes. Raises InputError with every fault of shape; UnreadableError as above."""
    return read_plan_value(parse_json(content))


def read_day(path: str | os.PathLike[str]) -> Day:
    """The day of the file at the path. Raises as parse_day does."""
    return parse_day(read_bytes(path))


def read_plan(path: str | os.PathLike[str]) -> Plan:
    """The plan of the file at the path. Raises as parse_plan does."""
    return parse_plan(read_bytes(path))


def read_visit(path: str | os.PathLike[str], day: Day) -> Visit:
    """The visit of the file at the path, written as in a day file's ``visits``, for the clinic of the day.

    Raises InputError with every fault; UnreadableError as above.
    """
    return read_visit_value(parse_json(read_bytes(path)), day)
