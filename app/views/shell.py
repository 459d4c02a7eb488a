"""What stands around every page: the rooms, who is signed in, where to sign out."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Room:
    name: str
    address: str
    current: bool


@dataclass(frozen=True, slots=True)
class Shell:
    """``rooms``: those the reader may enter. ``who`` is empty where nobody is signed in; ``role`` in words.

    ``invented``: the clinic is the demo's, and the page says so.
    """

    clinic: str
    rooms: tuple[Room, ...]
    who: str
    role: str
    invented: bool
