"""The ratio that every utilisation figure is."""


def utilisation(used: int, available: int) -> float:
    """Used over available, both in minutes; rounded to 6 places, 0 where nothing was available.

    Raw where ``used`` is the time of use alone, adjusted where it has set-up and turnover in it as well (Miller's
    Anesthesia, 6th ed., on operating rooms).
    """
    return round(used / available, 6) if available else 0.0
