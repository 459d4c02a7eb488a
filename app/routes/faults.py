"""The faults of an input as pages show them."""

from solver.errors import InputError


def by_field(error: InputError) -> dict[str, str]:
    """By where they stand: each field's faults in one text."""
    faults: dict[str, str] = {}
    for fault in error.faults:
        before = f"{faults[fault.where]}. Also: " if fault.where in faults else ""
        faults[fault.where] = f"{before}{fault.what}; {fault.right}"
    return faults


def as_lines(error: InputError) -> tuple[str, ...]:
    """A line each, without where: the page says what it is about."""
    return tuple(f"{fault.what}; {fault.right}" for fault in error.faults)
