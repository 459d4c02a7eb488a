"""An interval of the exact model during which some of a resource is held."""

from typing import NamedTuple

from ortools.sat.python import cp_model


class Held(NamedTuple):
    interval: cp_model.IntervalVar
    demand: cp_model.LinearExprT
