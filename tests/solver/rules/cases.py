"""Every boundary case of every rule, as data for whatever else must agree with the verifier."""

from tests.solver.rules import (
    test_applicator,
    test_battery,
    test_bay,
    test_break,
    test_channels,
    test_fixed,
    test_grid,
    test_hands,
    test_hours,
    test_patient,
    test_patients,
    test_place,
    test_suction,
    test_therapist,
    test_unit,
    test_watch,
)
from tests.solver.rules.boundary import BoundaryCase

BOUNDARY_CASES: list[BoundaryCase] = [
    *test_grid.CASES,
    *test_hours.CASES,
    *test_patient.CASES,
    *test_unit.CASES,
    *test_channels.CASES,
    *test_patients.CASES,
    *test_place.CASES,
    *test_bay.CASES,
    *test_suction.CASES,
    *test_applicator.CASES,
    *test_hands.CASES,
    *test_therapist.CASES,
    *test_watch.CASES,
    *test_break.CASES,
    *test_battery.CASES,
    *test_fixed.CASES,
]
