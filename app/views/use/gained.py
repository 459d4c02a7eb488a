"""What one more of something gains on several days together: found, and between which bounds."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from solver.comparing import span_of
from solver.names import AimName
from solver.variants import Kind
from solver.whatif import Comparison, Found, Row

_Pair = tuple[Found, Row]
"""A day as it is, and with one more or less."""


@dataclass(frozen=True, slots=True)
class Gained:
    """A variant on so many ``days``. On ``unplanned`` of them it has no plan, and those are in no sum.

    ``visits``, ``minutes`` from wish and ``finish``: what the plans found gain; None where none is counted. ``aim`` is
    the first that can differ on any day (None: none can); ``found`` is gained of it, and whatever more time would find
    is from ``least`` to ``most``. ``even``: its points are visits. ``impossible``: it is proved that nothing is a plan.
    """

    kind: Kind
    of: str
    days: int
    unplanned: int
    impossible: bool
    visits: int | None
    minutes: int | None
    finish: int | None
    even: bool
    aim: AimName | None = None
    found: int = 0
    least: int = 0
    most: int = 0


def gained(days: Sequence[Comparison]) -> tuple[Gained, ...]:
    """For each variant, in the order in which the days have them."""
    pairs: dict[tuple[Kind, str], list[_Pair]] = {}
    for day in days:
        for row in day.rows:
            assert day.day is not None, "rows come after the day's own plan"
            pairs.setdefault((row.kind, row.of), []).append((day.day, row))
    aims, even = _common([day.aims for day in days]), all(day.even for day in days)
    return tuple(_added(kind, of, found, aims, even) for (kind, of), found in pairs.items())


def _common(all_aims: Sequence[tuple[AimName, ...]]) -> tuple[AimName, ...]:
    """The aims that are of the same rank on all days, from the first on."""
    common: list[AimName] = []
    for aims in zip(*all_aims, strict=False):
        if len(set(aims)) > 1:
            break
        common.append(aims[0])
    return tuple(common)


def _added(kind: Kind, of: str, pairs: Sequence[_Pair], aims: tuple[AimName, ...], even: bool) -> Gained:
    planned = [(own, row) for own, row in pairs if row.gain is not None]
    aim, found, least, most = _first_that_differs(kind, planned, aims)
    return Gained(
        kind=kind,
        of=of,
        days=len(pairs),
        unplanned=len(pairs) - len(planned),
        impossible=all(row.found.status == "infeasible" for _, row in pairs),
        visits=_sum([(own.left_out or 0) - (row.found.left_out or 0) for own, row in planned]),
        minutes=_sum(list(_scored("wish", planned))),
        finish=_sum(list(_scored("finish", planned))),
        even=even,
        aim=aim,
        found=found,
        least=least,
        most=most,
    )


def _first_that_differs(
    kind: Kind, planned: Sequence[_Pair], aims: tuple[AimName, ...]
) -> tuple[AimName | None, int, int, int]:
    """An aim counts only where those before it are proved to be the same on every day."""
    for aim in aims:
        spans = [span_of(aim, own, row.found) for own, row in planned]
        if kind != "unit away":  # a plan of the day is one with more, too, so that nothing is lost by it
            spans = [(max(least, 0), most) for least, most in spans]
        if any(span != (0, 0) for span in spans):
            least, most = (sum(ends) for ends in zip(*spans, strict=True))
            return aim, sum(_scored(aim, planned)), least, most
    return None, 0, 0, 0


def _scored(aim: AimName, planned: Sequence[_Pair]) -> Iterator[int]:
    for own, row in planned:
        if aim in own.scores and aim in row.found.scores:
            yield own.scores[aim] - row.found.scores[aim]


def _sum(numbers: Sequence[int]) -> int | None:
    return sum(numbers) if numbers else None
