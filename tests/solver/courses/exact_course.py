"""A course as a CP-SAT model, aim by aim: slow, and nothing of the chains."""

from collections.abc import Sequence

from ortools.sat.python import cp_model

from solver.course_choice import Course, DayStarts
from solver.masks.bits import minutes_of
from tests.solver.courses.small_courses import Value


def best_by_model(days: Sequence[DayStarts], course: Course) -> Value:
    model = cp_model.CpModel()
    hours = course.hours
    takes = {
        (n, start, who): model.new_bool_var("")
        for n, day in enumerate(days)
        if day.date.weekday() in course.weekdays
        for who, mask in day.by.items()
        for start in minutes_of(mask)
        if hours is None or hours.start <= start < hours.end
    }
    used = [model.new_bool_var("") for _ in days]
    last = [model.new_bool_var("") for _ in days]
    for n in range(len(days)):
        model.add(sum(take for (day, _, _), take in takes.items() if day == n) == used[n])
    model.add(sum(used) <= course.sessions)
    model.add_at_most_one(last)
    for n, day in enumerate(days):
        gaps = {m: (days[m].date - day.date).days for m in range(n + 1, len(days))}
        for m, gap in gaps.items():
            model.add_implication(last[n], ~used[m])
            if gap < course.least_days:
                model.add_bool_or(~used[n], ~used[m])
        near = [used[m] for m, gap in gaps.items() if course.most_days is None or gap <= course.most_days]
        model.add_bool_or(~used[n], last[n], *near)
        model.add_implication(last[n], used[n])
    hour = model.new_int_var(0, 24 * 60, "") if course.wish is None else course.wish
    off = []
    for (_, start, _), take in takes.items():
        distance = model.new_int_var(0, 24 * 60, "")
        model.add(distance >= start - hour).only_enforce_if(take)
        model.add(distance >= hour - start).only_enforce_if(take)
        off.append(distance)
    members = {who: model.new_bool_var("") for _, _, who in takes}
    for (_, _, who), take in takes.items():
        model.add_implication(take, members[who])
    wish = course.therapist_wish
    aims = [
        course.sessions - sum(used),
        sum(off),
        sum(members.values()),
        sum(take for (_, _, who), take in takes.items() if wish not in (None, who)),
        sum(day.date.toordinal() * end for day, end in zip(days, last, strict=True)),
    ]
    found = []
    for aim in aims:
        model.minimize(aim)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        assert solver.solve(model) == cp_model.OPTIMAL
        found.append(round(solver.objective_value))
        model.add(aim == found[-1])
    a, b, c, d, e = found
    return a, b, c, d, e
