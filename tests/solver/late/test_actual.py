"""A day that is over, as a day and a plan: the figures of what was given, by the same counting as those of the plan."""

from dataclasses import replace

import pytest

from solver.late.actual import Given, Stretch, actual_day
from solver.late.happened import PartOf
from solver.late.kept_to import LATE_MIN, joined, kept_to, turnarounds
from solver.report.sums import Row, Sums, day_sums
from tests.app.clinic_days import a_clinic_day, a_clinic_plan
from tests.builders import a_day, a_part, a_plan, a_visit, an_applicator, hands_on, placed, placed_part

DAY = a_clinic_day()
PLAN = a_clinic_plan(DAY)
Run = dict[PartOf, Given]


def _to_plan() -> Run:
    return {
        (visit.id, number): Given(
            part.start,
            tuple(
                Stretch(i, phase.minutes, False, part.hands[i])
                for i, phase in enumerate(DAY.visit_by_id[visit.id].parts[number].phases)
            ),
        )
        for visit in PLAN.visits
        for number, part in enumerate(visit.parts)
    }


def _sums(given: Run) -> Sums:
    return day_sums(*actual_day(DAY, PLAN, given))


def _longer(given: Run, key: PartOf, phase: int, minutes: int, *, paused: bool) -> Run:
    """The same with more minutes after a phase, in which it went on or was paused."""
    stretches = list(given[key].stretches)
    stretches.insert(phase + 1, replace(stretches[phase], minutes=minutes, paused=paused))
    return {**given, key: Given(given[key].start, tuple(stretches))}


def test_a_day_that_ran_to_plan_has_the_figures_of_the_plan() -> None:
    assert _sums(_to_plan()) == day_sums(DAY, PLAN)


def test_a_part_that_ran_over_has_so_many_minutes_more_wherever_it_is_counted() -> None:
    planned, actual = day_sums(DAY, PLAN), _sums(_longer(_to_plan(), ("V2", 0), 1, 7, paused=False))
    for table, key in (("clinic", "all"), ("units", "U1"), ("channels", "U1 s1"), ("outputs", "pads"), ("hours", "10")):
        before, after = planned[table][key], actual[table][key]
        assert after["used_min"] == before["used_min"] + 7, table
        assert after["held_min"] == before["held_min"] + 7, table
        assert after["available_min"] == before["available_min"], table
    assert actual["bays"]["B1"]["used_min"] == planned["bays"]["B1"]["used_min"] + 7
    assert actual["staff"] == planned["staff"]


def test_hands_are_whose_they_were() -> None:
    given = _to_plan()
    first = given["V2", 0]
    given["V2", 0] = replace(first, stretches=(replace(first.stretches[0], who="A1"), *first.stretches[1:]))
    planned, actual = day_sums(DAY, PLAN)["staff"], _sums(given)["staff"]
    assert actual["A1"]["used_min"] == planned["A1"]["used_min"] + 5
    assert actual["T1"]["used_min"] == planned["T1"]["used_min"] - 5


def test_a_pause_holds_and_does_not_run_and_needs_no_hands() -> None:
    planned, actual = day_sums(DAY, PLAN), _sums(_longer(_to_plan(), ("V1", 0), 1, 6, paused=True))
    for table, key in (("clinic", "all"), ("units", "U1"), ("channels", "U1 u1"), ("outputs", "ultrasound")):
        assert actual[table][key]["used_min"] == planned[table][key]["used_min"], table
        assert actual[table][key]["held_min"] > planned[table][key]["held_min"], table
    assert actual["channels"]["U1 u1"]["held_min"] == planned["channels"]["U1 u1"]["held_min"] + 6
    assert actual["applicators"]["heads"]["used_min"] == planned["applicators"]["heads"]["used_min"] + 6
    assert actual["staff"] == planned["staff"]


def test_a_visit_that_was_missed_is_in_no_figure() -> None:
    given = {key: one for key, one in _to_plan().items() if key[0] != "V2"}
    planned, actual = day_sums(DAY, PLAN)["clinic"]["all"], _sums(given)["clinic"]["all"]
    assert actual["used_min"] == planned["used_min"] - 15
    assert actual["held_min"] == planned["held_min"] - 20
    assert actual["visits_placed"] == planned["visits_placed"] - 1
    assert actual["visits_left_out"] == planned["visits_left_out"] + 1


def test_a_visit_that_was_stopped_has_what_was_given_of_it() -> None:
    given = {key: one for key, one in _to_plan().items() if key != ("V3", 1)}
    given["V3", 0] = Given(570, (Stretch(0, 4, False, "T1"),))
    assert _sums(given)["channels"]["U2 u1"] == {
        **day_sums(DAY, PLAN)["channels"]["U2 u1"],
        "used_min": 4,
        "held_min": 4,
    }
    assert _sums(given)["channels"]["U2 s1"]["held_min"] == 0


def test_a_part_without_a_whole_minute_was_not_given() -> None:
    given = {**_to_plan(), ("V3", 0): Given(570, ())}
    assert _sums(given)["channels"]["U2 u1"]["held_min"] == 0
    assert _sums(given)["channels"]["U2 s1"] == day_sums(DAY, PLAN)["channels"]["U2 s1"]
    assert _sums({("V1", 0): Given(540, ())})["clinic"]["all"]["visits_placed"] == 0


def test_what_ran_beyond_closing_takes_nothing_off_turnaround_or_turnover() -> None:
    actual = _sums({("V1", 0): Given(DAY.close - 5, _to_plan()["V1", 0].stretches)})
    for row in (actual["applicators"]["heads"], actual["bays"]["F1"]):
        assert row["held_min"] == row["used_min"] == 20


def _kept(given: Run, missed: tuple[str, ...] = (), unended: tuple[PartOf, ...] = ()) -> Row:
    return joined(kept_to(DAY, PLAN, given, missed, unended).values())


def _nothing() -> Row:
    parts = sum(part.minutes for visit in DAY.visits[:3] for part in visit.parts)
    none = dict.fromkeys(("late", "late_min", "missed", "overrun", "overrun_min", "unended"), 0)
    return {**none, "visits": 3, "begun": 3, "parts": 4, "prescribed_min": parts}


def test_a_day_to_plan_kept_to_it() -> None:
    assert _kept(_to_plan()) == _nothing()


@pytest.mark.parametrize(("minutes", "late"), [(LATE_MIN, 0), (LATE_MIN + 1, 1)])
def test_late_begins_beyond_its_minutes(minutes: int, late: int) -> None:
    given = _to_plan()
    given["V3", 0] = replace(given["V3", 0], start=given["V3", 0].start + minutes)
    assert _kept(given) == {**_nothing(), "late": late, "late_min": late * minutes}


def test_a_later_part_alone_makes_no_visit_late() -> None:
    given = _to_plan()
    given["V3", 1] = replace(given["V3", 1], start=given["V3", 1].start + 30)
    assert _kept(given) == _nothing()


@pytest.mark.parametrize("paused", [True, False])
def test_overrun_is_minutes_over_the_prescribed_with_pauses(paused: bool) -> None:
    given = _longer(_to_plan(), ("V2", 0), 1, 7, paused=paused)
    given["V1", 0] = Given(540, given["V1", 0].stretches[:1])
    assert _kept(given) == {**_nothing(), "overrun": 1, "overrun_min": 7}


def test_a_visit_that_was_begun_was_not_missed() -> None:
    given = {key: one for key, one in _to_plan().items() if key[0] != "V2"}
    found = _kept(given, missed=("V2", "V1", "V4"))
    assert (found["missed"], found["begun"], found["visits"]) == (1, 2, 3)


@pytest.mark.parametrize(("at", "kept"), [("09:40", 1), ("09:39", 0)])
def test_a_turnaround_is_kept_to_its_very_minute(at: str, kept: int) -> None:
    one = a_visit(a_part(hands_on(30), applicators={"heads": 1}), id="V1", patient="Ann")
    two = a_visit(a_part(hands_on(30), applicators={"heads": 1}), id="V2", patient="Bea")
    day = a_day(one, two, step_min=1, applicators=(an_applicator("heads", ("head-1",), turnaround_min=10),))
    plan = a_plan(
        day,
        placed(one, placed_part(one.parts[0], "09:00", items={"heads": ["head-1"]})),
        placed(two, placed_part(two.parts[0], at, items={"heads": ["head-1"]})),
    )
    assert turnarounds(day, plan) == {"reused": 1, "kept": kept}
    assert turnarounds(day, replace(plan, visits=plan.visits[:1])) == {"reused": 0, "kept": 0}


def test_each_visit_has_a_row_of_its_own() -> None:
    given = _longer({key: one for key, one in _to_plan().items() if key[0] != "V2"}, ("V3", 1), 1, 3, paused=False)
    rows = kept_to(DAY, PLAN, given, {"V2"}, {("V3", 1)})
    assert list(rows) == ["V1", "V2", "V3"]
    assert (rows["V2"]["missed"], rows["V2"]["begun"], rows["V2"]["parts"]) == (1, 0, 0)
    assert (rows["V3"]["overrun_min"], rows["V3"]["unended"], rows["V3"]["parts"]) == (3, 1, 2)
    assert joined([]) == dict.fromkeys(rows["V1"], 0)


def test_hours_go_on_beyond_closing_so_that_they_sum_to_the_clinic() -> None:
    late = _sums({("V1", 0): Given(DAY.close - 5, _to_plan()["V1", 0].stretches)})
    assert late["hours"]["12"] == {
        "available_min": 0,
        "used_min": 20,
        "held_min": 30,
        "open_min": 0,
        "patient_min": 15,
        "peak_patients": 1,
    }
    for measure in ("used_min", "held_min", "available_min", "open_min"):
        assert sum(row[measure] for row in late["hours"].values()) == late["clinic"]["all"][measure]
    assert late["clinic"]["all"]["peak_end"] == DAY.close + 15
