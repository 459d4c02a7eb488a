"""Hands and watch through the day."""

from app.views.staff import staff_rows, watch_levels, watch_row
from tests.app.clinic_days import planned


def test_a_member_is_hands_on_on_a_break_free_or_absent() -> None:
    tess, ali = staff_rows(planned(), frozenset(), None)
    assert [(hand.key, hand.at, hand.minutes) for hand in tess.hands] == [
        ("V1.p1", 0, 5),
        ("V1.p1", 5, 10),
        ("V1.p1", 15, 5),
        ("V3.p1", 30, 10),
        ("V2.p1", 60, 5),
    ]
    assert [span.text for span in tess.breaks] == ["11:00–11:15"]
    assert [span.text for span in tess.free] == [
        "09:20–09:30",
        "09:40–10:00",
        "10:05–11:00",
        "11:15–12:00",
    ]
    assert [span.text for span in ali.absent] == ["11:30–12:00"]
    assert (tess.hands_min, ali.hands_min) == (35, 5)


def test_one_member_can_be_asked_for() -> None:
    assert [row.id for row in staff_rows(planned(), frozenset(), "A1")] == ["A1"]


def test_the_watch_counts_free_and_busy_hands_and_leaves_out_who_is_away() -> None:
    levels = watch_levels(planned())
    assert levels[0] == (0, 2)  # Tess busy 1, Ali free 1
    assert levels[25] == (0, 3)  # Tess free 2, Ali free 1
    assert levels[52] == (0, 2)  # Ali sets Cy up: Tess free 2, Ali busy 0
    assert levels[62] == (1, 2)  # Cy runs, Tess sets Bea up
    assert levels[70] == (1, 3)  # Bea runs
    assert levels[125] == (0, 1)  # Tess on her break
    assert levels[160] == (0, 2)  # Ali has gone home


def test_the_least_free_watch_is_of_minutes_with_something_to_watch() -> None:
    row = watch_row(planned())
    assert (row.least_free, row.least_at, row.peak_needed) == (1, "10:00", 1)
    # Needed is drawn from 09:55, when Cy runs unattended, to 10:20, when Bea ends.
    assert row.needed == "M0 3H55V2H80V3H180V3H0Z"
