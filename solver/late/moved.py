"""What comes of a late day: who is where then, who moves by how much, and who finds no place any more."""

from dataclasses import dataclass, replace

from solver.compose import explained
from solver.errors import PlanRefusedError
from solver.late.live import LiveDay
from solver.schedule import PlacedVisit, Plan, Reason
from solver.verify import Breach, verify
from solver.verify.scores import scores_of

NO_PLAN = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A visit or, with ``part`` over 0, the rest of one from that part on, that begins at another minute or elsewhere.

    ``before`` and ``after``: the start of that part. ``elsewhere``: its unit or its therapist is another.
    """

    id: str
    part: int
    before: int
    after: int
    elsewhere: bool

    @property
    def minutes(self) -> int:
        """How much later; below 0: earlier."""
        return self.after - self.before


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A visit that has no place left, and why: somebody must decide what becomes of it."""

    id: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """``plan`` None: there is none that keeps every rule; ``broken`` and ``left`` say what stands in the way.

    The plan is one of the live day, and verified for it.
    """

    plan: Plan | None
    moved: tuple[Moved, ...] = ()
    left: tuple[Left, ...] = ()
    broken: tuple[Breach, ...] = ()

    @property
    def minutes(self) -> int:
        """Minutes by which visits move, all added."""
        return sum(abs(one.minutes) for one in self.moved)

    @property
    def rank(self) -> tuple[int, int, int]:
        """Of two outcomes the lower one is better: fewest without a place, least moved, fewest elsewhere."""
        return (
            len(self.left) if self.plan is not None else 1_000_000,
            self.minutes,
            sum(m.elsewhere for m in self.moved),
        )


def outcome_of(live: LiveDay, plan: Plan) -> Outcome:
    """What a plan of the live day, or of the day for its repair, means.

    Raises PlanRefusedError where it breaks a rule: then the search has a fault.
    """
    bounds = dict.fromkeys(live.day.aims, 0)
    plan = replace(plan, status="feasible", bounds=bounds, scores=scores_of(live.day, plan))
    whole = explained(live.day, plan)
    breaches = verify(live.day, whole)
    if breaches:
        raise PlanRefusedError(str(one) for one in breaches)
    moved = (_moved(live, placed) for placed in whole.visits)
    return Outcome(
        plan=whole,
        moved=tuple(one for one in moved if one is not None),
        left=tuple(Left(id=one.id, reasons=one.reasons) for one in whole.left_out),
    )


def _moved(live: LiveDay, placed: PlacedVisit) -> Moved | None:
    """How the first part that is still to come is another than planned; None where it is not, or there is none."""
    planned, started = live.planned[placed.id], live.started.get(placed.id)
    first = len(started.parts) if started is not None else 0
    if first == len(placed.parts):
        return None
    now, before = placed.parts[first], planned.parts[first]
    therapist = planned.therapist if started is None else placed.therapist
    elsewhere = (now.unit, placed.therapist) != (before.unit, therapist)
    if now.start == before.start and not elsewhere:
        return None
    return Moved(id=placed.id, part=first, before=before.start, after=now.start, elsewhere=elsewhere)
