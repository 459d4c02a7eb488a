"""What is worked out one at a time: in a room that never comes to its end, cancelled by keyboard alone."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any, cast

from playwright.sync_api import Page, expect

from app.routes.parts import Parts
from app.services.use.one_job import OneJob
from tests.browser.axe import nothing_found
from tests.browser.conftest import Served


@contextmanager
def slow_room(served: Served, part: str, room: OneJob[Any, Any]) -> Iterator[Served]:
    """The served app with this room as one of its parts."""
    parts = cast("Parts", served.app.state.parts)
    other: dict[str, Any] = {part: room}
    served.app.state.parts = replace(parts, **other)
    yield served
    room.close()
    served.app.state.parts = parts


def cancelled_by_keyboard(page: Page, done: str, ended: str) -> None:
    """Begun and cancelled. ``done``: how far it gets; ``ended``: what is said at its end."""
    page.locator("main button.primary").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#compared")).to_contain_text(done, timeout=30_000)
    nothing_found(page)
    page.locator("#cancel").focus()
    page.wait_for_timeout(1500)  # a look or two goes by, and the focus stays
    expect(page.locator("#cancel")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#compared .compared-ended")).to_contain_text(ended, timeout=10_000)
