"""The rule ``applicator``: items enough for each part, one stay at a time, cleaned before the next."""

from itertools import combinations_with_replacement

from solver.clinic import Applicator
from solver.exact.alike import item_classes
from solver.exact.facts import Facts
from solver.exact.held import Held
from solver.exact.hinted import Expression, ReadOff
from solver.exact.model import DayModel, StayModel, Thread
from solver.names import RuleName


class ApplicatorRule:
    """Items of a pool that are alike are counted, and named afterwards in order of start.

    A stay holds an item from the first part that names it to the last: a thread of items runs from one part to another.
    How many items run along each thread is a choice wherever there is one.
    """

    name: RuleName = "applicator"

    def constrain(self, model: DayModel) -> None:
        for pool in model.day.applicators:
            classes = item_classes(model.day, pool)
            held: dict[tuple[str, ...], list[Held]] = {items: [] for items in classes}
            for stay in model.all_stays():
                users = [i for i in stay.parts if pool.id in stay.visit.parts[i].applicators]
                if users:
                    for thread, count in self._threads(model, stay, pool, users, classes).items():
                        present = model.present[stay.visit.id]
                        parts = tuple(range(thread.first, thread.last + 1))
                        interval = model.parts_interval(stay.visit, parts, present, pool.turnaround_min)
                        held[thread.items].append(Held(interval, count))
            for items, holds in held.items():
                model.at_most(len(items), holds)

    def _threads(
        self, model: DayModel, stay: StayModel, pool: Applicator, users: list[int], classes: list[tuple[str, ...]]
    ) -> dict[Thread, Expression]:
        needs = {i: stay.visit.parts[i].applicators[pool.id] for i in users}
        id, present = stay.visit.id, model.present[stay.visit.id]
        if len(users) == 1 and len(classes) == 1:
            only = Thread(classes[0], users[0], users[0])
            threads: dict[Thread, Expression] = {only: needs[users[0]]}
        else:
            threads = {}
            for items in classes:
                for first, last in combinations_with_replacement(users, 2):
                    thread = Thread(items, first, last)
                    most = min(len(items), needs[first], needs[last])
                    name = f"{id}/{stay.number} {pool.id} {items} {first}-{last}"
                    threads[thread] = model.integer(name, 0, most, _runs_along(stay, pool, thread))
            for items in classes:
                # An item runs along one thread of a stay at most, since between two it would be held as well.
                along = [count for thread, count in threads.items() if thread.items == items]
                model.cp.add(sum(along) <= len(items))
            for i in users:
                ends = sum(n for thread, n in threads.items() if i in (thread.first, thread.last))
                covering = sum(n for thread, n in threads.items() if thread.first <= i <= thread.last)
                model.cp.add(ends <= needs[i]).only_enforce_if(present)
                model.cp.add(covering >= needs[i]).only_enforce_if(present)
        if not classes:
            model.cp.add(present == 0)
        model.item_threads[id, stay.number, pool.id] = threads
        return threads


def _runs_along(stay: StayModel, pool: Applicator, thread: Thread) -> ReadOff:
    """Reads off a plan how many items of the class the stay holds from the thread's first part to its last."""

    def read_off(plan: Facts) -> int:
        count = 0
        for item in thread.items:
            named = [i for i in stay.parts if item in plan.items(stay.visit.id, i, pool.id)]
            count += bool(named) and (named[0], named[-1]) == (thread.first, thread.last)
        return count

    return read_off
