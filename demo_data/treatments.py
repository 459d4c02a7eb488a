"""The treatments of the demo clinic, each as the parts of a day file. All minutes and levels are invented.

A treatment is a list of parts; ``then`` joins two into one visit. Phases are (minutes, hands, running).
"""

from typing import Any

Part = dict[str, Any]
Treatment = list[Part]
PhaseRow = tuple[int, str, bool]


def _part(id: str, channels: dict[str, int], applicators: dict[str, int], *phases: PhaseRow, **more: Any) -> Part:
    return {
        "id": id,
        "channels": channels,
        "applicators": applicators,
        **more,
        "phases": [{"min": minutes, "hands": hands, "running": running} for minutes, hands, running in phases],
    }


def sound(minutes: int, *, head: str = "heads") -> Treatment:
    """Ultrasound: a therapist's hands from the first minute to the last."""
    phases = ((4, "therapist", False), (minutes, "therapist", True), (3, "therapist", False))
    return [_part("sound", {"ultrasound": 1}, {head: 1}, *phases, skill="ultrasound")]


def pads(minutes: int, *, regions: int = 1, set_up: str = "anyone") -> Treatment:
    """Current through pads on one region or two, unattended while it runs."""
    phases = ((4 + 2 * regions, set_up, False), (minutes, "nobody", True), (3 + regions, "anyone", False))
    return [_part("pads", {"pads": regions}, {"pad-sets": regions}, *phases)]


def cups(minutes: int, kpa: int, *, sets: int = 1) -> Treatment:
    """Current through suction cups; a therapist skilled in suction sets the level and takes the cups off."""
    phases = ((5 + 2 * sets, "therapist", False), (minutes, "nobody", True), (3 + sets, "therapist", False))
    return [_part("cups", {"cups": sets}, {"cup-sets": sets}, *phases, suction_kpa=kpa, skill="suction")]


def cups_and_pads(minutes: int, kpa: int) -> Treatment:
    """Cups on one region and pads on another, at the same time."""
    phases = ((9, "therapist", False), (minutes, "nobody", True), (6, "anyone", False))
    held = {"cup-sets": 1, "pad-sets": 1}
    return [_part("cups+pads", {"cups": 1, "pads": 1}, held, *phases, suction_kpa=kpa, skill="suction")]


def combined(minutes: int) -> Treatment:
    """Ultrasound and current at once: the head is one pole, a pad the other."""
    phases = ((6, "therapist", False), (minutes, "therapist", True), (4, "therapist", False))
    held = {"heads": 1, "pad-sets": 1}
    return [_part("combined", {"ultrasound": 1, "pads": 1}, held, *phases, skill="ultrasound")]


def guided(minutes: int) -> Treatment:
    """Current through pads while somebody guides the movement, then five minutes of lying still."""
    phases = ((5, "anyone", False), (minutes, "anyone", True), (5, "nobody", False), (3, "anyone", False))
    return [_part("guided", {"pads": 1}, {"pad-sets": 1}, *phases)]


def then(first: Treatment, second: Treatment, *, max_wait: int | None = None) -> Treatment:
    """One treatment after another in one visit, with at most ``max_wait`` minutes between them."""
    return [*first, {**second[0], "max_wait_min": max_wait}]


def on(units: list[str], treatment: Treatment) -> Treatment:
    """The treatment on the units named, and no others."""
    return [{**part, "units": units} for part in treatment]
