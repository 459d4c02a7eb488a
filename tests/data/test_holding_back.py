"""What held a day back, looked at by a process that opens the database itself, on both kinds of it."""

from app.db.store import Store
from app.services.days import save_day
from app.services.use.holding_back import HoldingBackRoom
from solver.holding_back import holding_back
from tests.builders import a_day, a_part, a_plan, a_visit, hands_on, placed


def test_the_process_reads_the_days_that_are_kept(store: Store) -> None:
    first = a_visit(a_part(hands_on(30)), id="V1", patient="P001", wish="09:00")
    second = a_visit(a_part(hands_on(30)), id="V2", patient="P002", wish="09:00")
    day = a_day(first, second)
    plan = a_plan(day, placed(first, "09:00"), placed(second, "09:30"))
    save_day(store, day, plan, read=0, actor="tests")
    room = HoldingBackRoom(store)
    room.start(day.date, day.date)
    room.wait(30)
    looked = room.current()
    assert looked is not None
    assert looked.message == "Finished."
    assert [each.held for each in looked.found] == [holding_back(day, plan)]
    assert looked.found[0].held.moved_min == 30
