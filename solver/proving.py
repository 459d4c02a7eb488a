"""Bounds and proofs: aim by aim, the linear programme's bound first, then the exact model where that is not enough."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from solver.board import Board
from solver.names import AimName

if TYPE_CHECKING:
    from solver.columns.bound import Body, ColumnBound
    from solver.exact.solving import Limits
    from solver.exact.stages import Stages, Within

MOST_VISITS = 150
"""Beyond, the exact model would take gigabytes and find nothing: it is not built. Nor do groups prove as much then as
the linear programme does of all visits, and no aim is looked at while one before it is open."""
EXACT_SHARE = 0.6
"""Part of the time that is left which the exact search may use for an aim that is not the last."""
MANY_VISITS = 25
"""With fewer visits the exact model of the whole day proves as soon as groups of them would."""
ALWAYS_BOUNDED: Collection[AimName] = ("placed", "stable", "wish")
"""With few visits the exact model proves the other aims in the time that the linear programme takes."""
NARROW_SHARE = 0.6
"""Part of the time that is left which the exact search may use for plans at the bound itself."""
GROUP_SHARE = 0.3
"""Part of the time that is left which the proofs of groups of visits may use."""
WORK_PER_SECOND = 0.03
"""With one worker the solver's own work is counted instead of seconds, so that a search can be repeated."""


class _Known(NamedTuple):
    """What columns say of an aim, up to a score of it, while those before it are held at some scores, or at less."""

    bound: ColumnBound
    score: int
    held: Mapping[AimName, int]


class Proving:
    """Closes the gaps between the board's scores and bounds, one aim after the other, round after round."""

    def __init__(self, board: Board, seed: int, workers: int) -> None:
        self.board = board
        self.seed = seed
        self.workers = workers
        self._stages: Stages | None = None
        self._bounded: set[tuple[object, ...]] = set()
        self._tried: set[tuple[object, ...]] = set()
        self._round = 0
        self._known: dict[AimName, _Known] = {}

    def run(self) -> None:
        """Until all is proved, the board is over, or nothing more can be tried before the best plan is another."""
        while not self.board.over():
            aim = self._next()
            if aim is None:
                return
            self.board.now_at(aim)
            if aim in ALWAYS_BOUNDED or not self._few:
                self._bound(aim)
            if aim == "wish" and self.board.is_open(aim) and not self._few and not self._many:
                self._bound_by_groups()
            if self.board.is_open(aim) and not self._many:
                self._minimise(aim)

    def ready(self) -> bool:
        """True where some aim was not looked at with the scores that those before it have by now."""
        return self._untried() is not None

    def _untried(self) -> AimName | None:
        """The first open aim that was not tried since the scores before it fell."""
        open_aims = self.board.open_aims()
        looked_at = open_aims[:1] if self._many else open_aims
        return next((aim for aim in looked_at if self._key(aim) not in self._tried), None)

    def _next(self) -> AimName | None:
        """That aim; after a round all open ones again, where there is more to try."""
        aim = self._untried()
        if aim is None and self.board.open_aims() and not self._many and not self._repeatable:
            self._tried.clear()
            self._round += 1
            aim = self._untried()
        if aim is not None:
            self._tried.add(self._key(aim))
        return aim

    def _key(self, aim: AimName) -> tuple[object, ...]:
        return (aim, *self.board.held_before(aim).values())

    @property
    def _many(self) -> bool:
        return len(self.board.day.visits) > MOST_VISITS

    @property
    def _few(self) -> bool:
        return len(self.board.day.visits) < MANY_VISITS

    @property
    def _repeatable(self) -> bool:
        """One worker: limited by work, which repeats, and by seconds only at the very end."""
        return self.workers == 1

    def _bound(self, aim: AimName) -> None:
        from solver.columns.bound import column_bound

        board, held = self.board, self.board.held_before(aim)
        key = self._key(aim)
        if key not in self._bounded:
            self._bounded.add(key)

            def told(bound: int) -> None:
                board.raise_bound(aim, bound, held)

            def is_settled() -> bool:
                return board.over() or not board.is_open(aim)

            best = board.best
            found = column_bound(
                board.day, aim, held, best.scores[aim], is_settled, known=best, told=told, by_start=not self._many
            )
            told(found.score)
            self._known[aim] = _Known(found, best.scores[aim], held)

    def _bound_by_groups(self) -> None:
        from solver.exact.groups import wish_bound

        board, held = self.board, self.board.held_before("wish")
        key = ("groups", *held.values())
        if key in self._bounded:
            return
        self._bounded.add(key)
        wish_bound(
            board.day,
            held,
            lambda: board.best,
            self._group_limits(),
            told=lambda bound: board.raise_bound("wish", bound, held),
            should_stop=lambda: board.over() or not board.is_open("wish") or board.held_before("wish") != held,
        )

    def _group_limits(self) -> Callable[[float], Callable[[], Limits] | None]:
        """Limits for a call that may take so many seconds; None once all calls together have had their share."""
        from solver.exact.solving import Limits

        board = self.board
        until, rest = board.elapsed + GROUP_SHARE * board.left, GROUP_SHARE * board.seconds

        def of(seconds: float) -> Callable[[], Limits] | None:
            nonlocal rest
            if self._repeatable:
                rest -= seconds
                work = seconds * WORK_PER_SECOND
                return None if rest < 0 else lambda: Limits(seconds=board.left, workers=1, seed=self.seed, work=work)
            end = min(until, board.elapsed + seconds)
            if board.elapsed >= end:
                return None
            return lambda: Limits(seconds=end - board.elapsed, workers=self.workers, seed=self.seed)

        return of

    def _minimise(self, aim: AimName) -> None:
        from solver.exact.stages import Stages, Within

        board = self.board
        if self._stages is None:
            self._stages = Stages(board.day)
        stages, held = self._stages, board.held_before(aim)
        if board.over():
            return
        self._look_at_the_bound(stages, aim, held)
        if board.is_open(aim):
            most = board.best.scores[aim] - 1
            limits = self._limits(1.0 if aim == board.open_aims()[-1] else EXACT_SHARE, lambda: stages.work)
            self._search(stages, aim, held, limits, Within(most, self._starts(aim, held, most)))

    def _look_at_the_bound(self, stages: Stages, aim: AimName, held: Mapping[AimName, int]) -> None:
        """Where columns say which starts cost how much: plans at the bound have few starts, so they are looked for
        first. There are none: the bound rises, and so on from there."""
        from solver.exact.solving import AT_THE_BOUND
        from solver.exact.stages import Within

        board, looked_at = self.board, -1
        step = board.day.step_min if aim in ("stable", "wish") else 1
        while aim in self._known and looked_at < board.bound(aim) < board.best.scores[aim]:
            looked_at = board.bound(aim)
            most = min(looked_at + step, board.best.scores[aim]) - 1
            limits = self._limits(NARROW_SHARE, lambda: stages.work)
            self._search(stages, aim, held, limits, Within(most, self._starts(aim, held, most)), AT_THE_BOUND)

    def _search(
        self,
        stages: Stages,
        aim: AimName,
        held: Mapping[AimName, int],
        limits: Callable[[], Limits],
        within: Within,
        two_workers: Sequence[str] = (),
    ) -> None:
        """Unless a plan from elsewhere has other scores than those held: then the aim comes up again with its own."""
        board = self.board
        best = board.best
        if any(best.scores[before] != score for before, score in held.items()):
            return
        stages.hold(held, aim, min(board.bound(aim), best.scores[aim]))
        stages.minimise(
            aim,
            best,
            limits,
            on_plan=board.take,
            on_bound=lambda bound: board.raise_bound(aim, bound, held),
            should_stop=lambda: board.over() or board.held_before(aim) != held or not board.is_open(aim),
            within=within,
            two_workers=two_workers,
        )

    def _starts(self, aim: AimName, held: Mapping[AimName, int], most: int) -> dict[Body, Collection[int]]:
        """The only starts in plans that hold what is held and have at most so much of the aim."""
        found: dict[Body, Collection[int]] = {}
        for one, score in {**held, aim: most}.items():
            known = self._known.get(one)
            if known is not None and score <= known.score and all(held[b] <= was for b, was in known.held.items()):
                for body, starts in known.bound.starts_within(score).items():
                    found[body] = starts if body not in found else starts & set(found[body])
        return found

    def _limits(self, share: float, work: Callable[[], float]) -> Callable[[], Limits]:
        """Limits for a call made now, within ``share`` of what is left when this is asked."""
        from solver.exact.solving import Limits

        board = self.board
        until = board.seconds if self._repeatable else board.elapsed + share * board.left
        work_until = work() + share * (board.seconds * WORK_PER_SECOND - work())

        def limits() -> Limits:
            left = work_until - work() if self._repeatable else None
            seed = self.seed + self._round
            return Limits(seconds=until - board.elapsed, workers=self.workers, seed=seed, work=left)

        return limits
