"""Means and quantiles of minutes that are given as counts. All are 0 where nothing is counted."""

from collections import Counter

DIGITS = 4


def mean(minutes: Counter[int]) -> float:
    """Rounded to 4 decimals."""
    return share(sum(value * times for value, times in minutes.items()), minutes.total())


def quantile(minutes: Counter[int], hundredths: int) -> int:
    """The least of the values that at least so many of a hundred do not exceed."""
    below = 0
    for value in sorted(minutes):
        below += minutes[value]
        if below * 100 >= hundredths * minutes.total():
            return value
    return 0


def above(minutes: Counter[int], least: int) -> Counter[int]:
    """The counts of the values above the given one."""
    return Counter({value: times for value, times in minutes.items() if value > least})


def share(some: int, of: int) -> float:
    """Rounded to 4 decimals; 0 of nothing."""
    return round(some / of, DIGITS) if of else 0.0
