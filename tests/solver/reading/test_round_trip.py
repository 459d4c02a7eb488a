"""Reading a file, writing it and reading it again gives the same day and the same plan."""

from hypothesis import HealthCheck, given, settings

from solver.jsonio import day_document, parse_day, parse_plan, plan_document
from tests.solver.reading.full_files import Document, content, full_day, full_plan, infeasible_plan
from tests.solver.reading.random_files import day_documents, plan_documents


@settings(max_examples=30, suppress_health_check=[HealthCheck.too_slow])
@given(day_documents())
def test_a_day_read_written_and_read_is_the_same(document: Document) -> None:
    day = parse_day(content(document))
    written = day_document(day)
    assert parse_day(content(written)) == day
    for key in document:
        if key not in ("units", "applicators", "places", "staff", "visits"):
            assert written[key] == document[key]


@settings(max_examples=60)
@given(plan_documents())
def test_a_plan_read_written_and_read_is_the_same(document: Document) -> None:
    plan = parse_plan(content(document))
    assert plan_document(plan) == document
    assert parse_plan(content(plan_document(plan))) == plan


def test_files_with_every_key_are_written_as_they_were_read() -> None:
    assert plan_document(parse_plan(content(full_plan()))) == full_plan()
    assert plan_document(parse_plan(content(infeasible_plan()))) == infeasible_plan()
    written, given_day = day_document(parse_day(content(full_day()))), full_day()
    for key in ("units", "applicators", "places", "staff", "visits"):
        assert written[key][0] == given_day[key][0]
