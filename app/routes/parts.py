"""What the routes reach through the app's state."""

from dataclasses import dataclass
from typing import cast
from zoneinfo import ZoneInfo

from fastapi import Request
from jinja2 import Environment

from app.clock import Clock
from app.db.store import Store
from app.services.clinic_named import NamedClinic
from app.services.day_room import DayRoom
from app.services.floor.late import LateRoom
from app.services.floor.room import FloorRoom
from app.services.news import News
from app.services.openings.ready import ReadyDays
from app.services.planning import Planning
from app.services.setup.checking import Checking
from app.services.signing_in import SigningIn
from app.services.use.holding_back import HoldingBackRoom
from app.services.use.one_more import OneMoreRoom
from app.services.use.robust import RobustRoom
from app.services.use.room import UseRoom
from app.settings import Settings


@dataclass(frozen=True, slots=True, kw_only=True)
class Parts:
    """What the app is put together from. ``clock``: the clinic's local time."""

    settings: Settings
    store: Store
    clinic: NamedClinic
    days: DayRoom
    floor: FloorRoom
    late: LateRoom
    ready: ReadyDays
    planning: Planning
    checking: Checking
    use: UseRoom
    one_more: OneMoreRoom
    holding_back: HoldingBackRoom
    robust: RobustRoom
    news: News
    signing_in: SigningIn
    templates: Environment
    clock: Clock

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.clinic.known.time_zone)


def parts_of(request: Request) -> Parts:
    return cast("Parts", request.app.state.parts)
