"""Figures of many days are sums, divided once: what a report says of one day, and of the same day many times."""

import pytest

from solver.report import report, utilisation
from solver.report.sums import Row, added, day_sums
from tests.builders import a_channel, a_day, a_part, a_plan, a_unit, a_visit, hands_on, placed, set_up, unattended

ANN = a_visit(a_part(set_up(5), unattended(20)), id="V1", patient="Ann")
BEA = a_visit(a_part(hands_on(30)), id="V2", patient="Bea")
DAY = a_day(ANN, BEA, open="09:00", close="11:30", units=[a_unit(channels=[a_channel("s1"), a_channel("s2")])])
PLAN = a_plan(
    DAY,
    placed(ANN, "09:50", bay="F1", channels={"pads": ["s1"]}),
    placed(BEA, "10:00", bay="F2", channels={"pads": ["s2"]}),
)


def _ratios(row: Row) -> tuple[float, float]:
    return utilisation(row["used_min"], row["available_min"]), utilisation(row["held_min"], row["available_min"])


@pytest.mark.parametrize("days", [1, 3])
def test_the_same_day_any_number_of_times_has_the_ratios_of_its_report(days: int) -> None:
    sums, figures = added([day_sums(DAY, PLAN)] * days), report(DAY, PLAN)
    for unit in figures["units"]:
        assert _ratios(sums["units"][unit["id"]]) == (unit["raw"], unit["adjusted"])
    for channel in figures["channels"]:
        assert _ratios(sums["channels"][f"{channel['unit']} {channel['id']}"]) == (channel["raw"], channel["adjusted"])
    for pool in figures["applicators"]:
        assert _ratios(sums["applicators"][pool["id"]]) == (pool["raw"], pool["adjusted"])
    for bay in figures["bays"]:
        assert _ratios(sums["bays"][bay["id"]]) == (bay["raw"], bay["adjusted"])
    for member in figures["staff"]:
        assert _ratios(sums["staff"][member["id"]]) == (member["raw"], member["raw"])
    clinic = sums["clinic"]["all"]
    assert utilisation(clinic["parallel_min"], clinic["occupied_min"]) == figures["clinic"]["parallel_share"]
    assert clinic["peak_patients"] == figures["clinic"]["peak_patients"] == 2
    assert clinic["days"] == days


def test_the_hours_sum_to_the_clinic() -> None:
    sums = day_sums(DAY, PLAN)
    for measure in ("available_min", "used_min", "held_min", "open_min", "patient_min"):
        assert sum(row[measure] for row in sums["hours"].values()) == sums["clinic"]["all"][measure]
    assert sums["hours"]["09"] == {
        "available_min": 120,
        "used_min": 5,
        "held_min": 10,
        "open_min": 60,
        "patient_min": 10,
        "peak_patients": 1,
    }
    assert sums["outputs"]["pads"]["used_min"] == sums["clinic"]["all"]["used_min"] == 50


def test_a_range_is_divided_once_and_not_a_mean_of_ratios() -> None:
    busy = {"units": {"U": {"available_min": 100, "used_min": 100, "held_min": 100}}}
    long = {"units": {"U": {"available_min": 300, "used_min": 0, "held_min": 100}}}
    assert _ratios(added([busy, long])["units"]["U"]) == (0.25, 0.5)
