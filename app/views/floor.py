"""What the Floor's templates read. Times count down against ``due``, which is an instant in milliseconds."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Button:
    """One press. ``fields``: what is sent; ``key``: the same for everyone who sees the board in this state."""

    label: str
    key: str
    fields: Mapping[str, str]
    primary: bool = False


@dataclass(frozen=True, slots=True)
class Countdown:
    """``text``: as it was when the page was made; ``stands``: it is paused, and does not count."""

    due: int
    text: str
    stands: bool = False

    @property
    def is_over(self) -> bool:
        return self.text.startswith("+")


@dataclass(frozen=True, slots=True)
class ChannelRow:
    """``kind``: how the phase is drawn; empty where nothing runs."""

    channel: str
    drives: str
    hue: int
    kind: str
    initials: str
    what: str
    countdown: Countdown | None
    coming: str


@dataclass(frozen=True, slots=True)
class Card:
    """A patient at a unit. ``state``: one word, as text and as class; ``says``: what is to be known now."""

    address: str
    initials: str
    name: str
    where: str
    when: str
    state: str
    says: str
    what: str
    countdown: Countdown | None
    buttons: tuple[Button, ...]


@dataclass(frozen=True, slots=True)
class BatteryView:
    now_pct: int
    reserve_pct: int
    text: str
    warns: bool


@dataclass(frozen=True, slots=True)
class UnitCard:
    """``out``: why it is out of service, or empty. ``at_once``: such as ``1 of 2 patients``."""

    id: str
    name: str
    out: str
    at_once: str
    rows: tuple[ChannelRow, ...]
    cards: tuple[Card, ...]
    battery: BatteryView | None


@dataclass(frozen=True, slots=True)
class TurnLine:
    """``state``: now, next or later. ``warning``: such as that it meets the turn before."""

    when: str
    minutes: str
    initials: str
    name: str
    where: str
    what: str
    state: str
    warning: str
    countdown: Countdown | None
    address: str


@dataclass(frozen=True, slots=True)
class Queue:
    staff: str
    name: str
    kind: str
    away: str
    lines: tuple[TurnLine, ...]


@dataclass(frozen=True, slots=True)
class WatchView:
    text: str
    warns: bool


@dataclass(frozen=True, slots=True)
class CleaningLine:
    item: str
    pool: str
    text: str
    countdown: Countdown | None
    button: Button | None


@dataclass(frozen=True, slots=True)
class PressLine:
    """A press that was made. ``undo`` None: it cannot be taken back, or not yet."""

    when: str
    text: str
    actor: str
    undo: Button | None


@dataclass(frozen=True, slots=True)
class LapsedLine:
    """A visit whose time went by, and nobody said what became of it."""

    address: str
    initials: str
    when: str


@dataclass(frozen=True, slots=True)
class FloorView:
    """``now``: the server's time in milliseconds; ``clock`` the same as text. ``mark``: of what is shown.

    ``late``: what delays do to the rest of the day, in a line; empty where they do nothing.
    """

    date: str
    title: str
    address: str
    mark: str
    now: int
    clock: str
    units: tuple[UnitCard, ...]
    queues: tuple[Queue, ...]
    watch: WatchView
    cleaning: tuple[CleaningLine, ...]
    presses: tuple[PressLine, ...]
    lapsed: tuple[LapsedLine, ...]
    late: str
    may_press: bool


def left_text(seconds: float) -> str:
    """``90`` → ``"1:30"``; ``-75`` → ``"+1:15"``: that much over."""
    whole = abs(int(seconds))
    sign = "+" if seconds <= -1 else ""
    hours, rest = divmod(whole, 3600)
    minutes, seconds_left = divmod(rest, 60)
    return f"{sign}{hours}:{minutes:02d}:{seconds_left:02d}" if hours else f"{sign}{minutes}:{seconds_left:02d}"
