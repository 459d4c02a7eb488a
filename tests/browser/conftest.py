"""A real server and a real chromium. Console errors fail the test; pictures go to a folder outside the repository."""

import os
import socket
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from playwright.sync_api import Browser, Page, sync_playwright

from app.clock import Clock
from app.main import close_app
from app.roles import Role
from app.routes.access import COOKIE
from app.serving import Server
from solver.schedule import Plan
from tests.app.clinic_days import ADDRESS, app_in, plan_at_once, session_of

CHROMIUM = os.environ.get("CHANNELDAY_CHROMIUM", "/usr/bin/chromium")
PICTURES = Path(os.environ.get("CHANNELDAY_PICTURES", str(Path(tempfile.gettempdir()) / "channelday-pictures")))


RUNNING: dict[str, FastAPI] = {}
"""The apps that are served, by their origin."""


class Served:
    """The app on a port of its own, in a thread."""

    def __init__(self, folder: Path, solve: Callable[..., Plan], clock: Clock | None = None) -> None:
        self.app, self.planning = app_in(folder, solve, clock)
        self._socket = socket.socket()
        self._socket.bind(("127.0.0.1", 0))
        self.origin = f"http://127.0.0.1:{self._socket.getsockname()[1]}"
        self.address = self.origin + ADDRESS
        RUNNING[self.origin] = self.app
        self._server = Server(self.app, lambda: close_app(self.app))
        self._thread = threading.Thread(target=self._server.run, kwargs={"sockets": [self._socket]}, daemon=True)
        self._thread.start()
        while not self._server.started:
            time.sleep(0.01)

    def stop(self) -> None:
        self._server.should_exit = True
        self._thread.join(10)
        self._socket.close()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path=CHROMIUM,
            args=["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        yield chromium
        chromium.close()


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    server = Served(tmp_path_factory.mktemp("day"), plan_at_once)
    yield server
    server.stop()


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Callable[[Callable[..., Plan]], Served]]:
    """Serve with a search of the test's choice; for tests that plan."""
    running: list[Served] = []

    def start(solve: Callable[..., Plan]) -> Served:
        running.append(Served(tmp_path, solve))
        return running[-1]

    yield start
    for server in running:
        server.stop()


@pytest.fixture
def console_errors() -> list[str]:
    """What the pages of a test wrote to the console as errors; a test that provokes one takes it out."""
    return []


@pytest.fixture
def open_page(browser: Browser, console_errors: list[str]) -> Iterator[Callable[..., Page]]:
    """Open an address at a width and in a colour scheme, signed in; at the end no error may stand in the console."""
    errors = console_errors
    contexts = []

    def open_at(
        address: str,
        width: int = 1280,
        scheme: str = "light",
        script: bool = True,
        role: Role | None = "administrator",
    ) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme="dark" if scheme == "dark" else "light",
            java_script_enabled=script,
            reduced_motion="reduce",
        )
        contexts.append(context)
        origin = "/".join(address.split("/")[:3])
        if role is not None and origin in RUNNING:
            context.add_cookies([{"name": COOKIE, "value": session_of(RUNNING[origin], role), "url": origin}])
        page = context.new_page()
        page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: errors.append(str(error)))
        page.goto(address)
        return page

    yield open_at
    for context in contexts:
        context.close()
    assert errors == []
