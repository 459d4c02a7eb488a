"""Many faults in one file are all found at once, and none that only follows from another."""

from typing import Any

import pytest

from solver.errors import InputError
from solver.jsonio import parse_day, parse_plan
from tests.solver.reading.full_files import Document, content, full_day, full_plan, infeasible_plan


def places_of(document: Document) -> list[str]:
    with pytest.raises(InputError) as refusal:
        parse_day(content(document))
    return sorted(fault.where for fault in refusal.value.faults)


def test_faults_all_over_the_file_are_found_in_one_pass() -> None:
    day = full_day()
    day["open"] = "9 o'clock"
    day["units"][0]["battery"]["reserve_pct"] = 101
    del day["units"][0]["battery"]["draw_w"]["cups"]
    day["units"][1]["places"] = ["cellar"]
    day["applicators"][0]["turnaround_min"] = -5
    day["places"][1]["bays"] = ["F1"]
    day["staff"][0]["hours"] = [["09:00", "10:00"], ["09:30", "11:00"], ["11:00", 12]]
    day["visits"][0]["parts"][0]["phases"][1]["min"] = 0
    day["visits"][0]["parts"][0]["applicators"] = {"mud": 0}
    day["visits"][1]["id"] = "V1"
    day["aims"] = ["placed", "placed", "profit"]
    day["weather"] = "fine"
    assert places_of(day) == sorted(
        [
            "open",
            "units[0].battery.reserve_pct",
            "units[0].battery.draw_w",
            "units[1].places[0]",
            "applicators[0].turnaround_min",
            "places[1].bays[0]",
            "staff[0].hours",
            "staff[0].hours[2][1]",
            "visits[0].parts[0].phases[1].min",
            "visits[0].parts[0].applicators.mud",
            "visits[1].id",
            "aims[1]",
            "aims[2]",
            "weather",
        ]
    )


def _set(path: list[str | int], value: Any) -> Document:
    day = full_day()
    holder: Any = day
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = value
    return day


@pytest.mark.parametrize(
    ("path", "where"),
    [
        (["units"], "units"),
        (["units", 0], "units[0]"),
        (["units", 0, "id"], "units[0].id"),
        (["units", 0, "channels"], "units[0].channels"),
        (["units", 0, "channels", 0, "id"], "units[0].channels[0].id"),
        (["units", 0, "battery", "draw_w"], "units[0].battery.draw_w"),
        (["units", 0, "battery", "draw_w", "pads"], "units[0].battery.draw_w.pads"),
        (["applicators", 0, "id"], "applicators[0].id"),
        (["applicators", 0, "items"], "applicators[0].items"),
        (["places", 0, "id"], "places[0].id"),
        (["places", 0, "bays"], "places[0].bays"),
        (["staff"], "staff"),
        (["staff", 0, "id"], "staff[0].id"),
        (["staff", 0, "watch_free"], "staff[0].watch_free"),
        (["visits", 0, "parts"], "visits[0].parts"),
        (["visits", 0, "parts", 0], "visits[0].parts[0]"),
        (["visits", 0, "fixed", "parts", 0, "unit"], "visits[0].fixed.parts[0].unit"),
    ],
)
def test_nothing_follows_from_what_could_not_be_read(path: list[str | int], where: str) -> None:
    assert places_of(_set(path, 3.5)) == [where]


def test_what_is_fixed_is_checked_beside_parts_that_could_not_be_read() -> None:
    day = _set(["visits", 0, "parts"], 3.5)
    day["visits"][0]["fixed"]["parts"][0]["bay"] = "none"
    assert places_of(day) == ["visits[0].fixed.parts[0].bay", "visits[0].parts"]


def test_an_unreadable_id_silences_references_to_its_own_list_only() -> None:
    day = _set(["staff", 1, "id"], 7)
    day["visits"][0]["therapist_wish"] = "T9"
    day["visits"][0]["parts"][0]["units"] = ["U9"]
    assert places_of(day) == ["staff[1].id", "visits[0].parts[0].units[0]"]


def test_optional_keys_have_the_contract_s_defaults() -> None:
    day = full_day()
    for key in ("step_min", "move_min", "bay_turnover_min", "published", "aims"):
        del day[key]
    read = parse_day(content(day))
    assert (read.step_min, read.move_min, read.bay_turnover_min, read.published) == (5, 0, 0, ())
    assert read.aims == ("placed", "stable", "wish", "therapist", "wait", "finish")
    unit, pool, member, visit = read.units[1], read.applicators[1], read.staff[1], read.visits[1]
    assert (unit.name, read.unit_hours(unit), unit.battery) == ("U2", ((540, 720),), None)
    assert (pool.name, pool.fits, member.name, member.skills, member.breaks) == ("cup-sets", None, "A1", (), ())
    assert (member.watch_free, member.watch_busy) == (0, 0)
    assert (visit.priority, read.visit_free(visit), visit.wish, visit.fixed) == (1, ((540, 720),), None, None)
    assert (visit.therapist_wish, visit.therapist_must, visit.place_tags, visit.same_unit) == (None, None, (), True)
    part = visit.parts[0]
    assert (part.applicators, part.suction_kpa, part.skill, part.units, part.max_wait_min) == (
        {},
        None,
        None,
        None,
        None,
    )
    battery = full_day()
    for key in ("start_pct", "pump_w", "min_charge_min"):
        del battery["units"][0]["battery"][key]
    power = parse_day(content(battery)).units[0].battery
    assert power is not None
    assert (power.start_pct, power.pump_w, power.min_charge_min) == (100, 0, 15)


@pytest.mark.parametrize(
    ("fixed", "therapist_given", "parts"), [({}, False, 0), ({"therapist": None}, True, 0), ({"parts": [{}]}, False, 1)]
)
def test_fixed_tells_a_fixed_null_from_a_free_therapist(
    fixed: dict[str, Any], therapist_given: bool, parts: int
) -> None:
    read = parse_day(content(_set(["visits", 0, "fixed"], fixed))).visits[0].fixed
    assert read is not None
    assert (read.therapist, read.therapist_given, len(read.parts)) == (None, therapist_given, parts)


def test_what_was_published_may_name_what_is_gone_but_has_parts() -> None:
    day = full_day()
    day["published"][0] |= {"id": "V0", "therapist": "T0"}
    day["published"][0]["parts"][0] |= {"unit": "U0", "place": "gone", "bay": "gone"}
    assert parse_day(content(day)).published[0].id == "V0"
    day["published"].append({"id": "V0", "therapist": None, "parts": []})
    assert places_of(day) == ["published[1].id", "published[1].parts"]


def test_conflict_is_a_key_of_infeasible_plans_only() -> None:
    assert parse_plan(content(infeasible_plan())).conflict[0].rules == ("hands", "break")
    with pytest.raises(InputError, match=r"^conflict: the key is missing"):
        parse_plan(content({key: value for key, value in infeasible_plan().items() if key != "conflict"}))
    with pytest.raises(InputError, match=r"^conflict: a plan that is feasible has no conflict"):
        parse_plan(content({**full_plan(), "conflict": []}))


@pytest.mark.parametrize(
    ("key", "value", "where"),
    [
        ("status", "perfect", "status"),
        ("scores", {"profit": 1}, "scores.profit"),
        ("left_out", [{"id": "V2", "reasons": [{"rule": "shape", "text": ""}]}], "left_out[0].reasons[0].rule"),
        ("breaks", [{"staff": "T1", "start": "10:00", "end": "24:10"}], "breaks[0].end"),
    ],
)
def test_words_a_plan_does_not_know(key: str, value: object, where: str) -> None:
    with pytest.raises(InputError) as refusal:
        parse_plan(content({**full_plan(), key: value}))
    assert [fault.where for fault in refusal.value.faults] == [where]
