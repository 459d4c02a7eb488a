"""The server ends in good order: no stream is cut off, nothing is logged."""

import http.client
import logging
import socket
import threading
import time
from pathlib import Path

import pytest

from app.main import close_app
from app.routes.access import COOKIE
from app.serving import Server
from tests.app.clinic_days import ADDRESS, DATE, app_in, plan_deaf, session_of


def test_open_streams_end_by_themselves_when_the_server_does(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    app, planning = app_in(tmp_path, plan_deaf)
    server = Server(app, lambda: close_app(app))
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        port = listener.getsockname()[1]
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listener]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        planning.start(DATE, 60, actor="test")
        stream = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        stream.request("GET", f"{ADDRESS}/plan/events", headers={"cookie": f"{COOKIE}={session_of(app)}"})
        answer = stream.getresponse()
        assert answer.status == 200
        with caplog.at_level(logging.WARNING):
            server.should_exit = True
            said = answer.read().decode()
            thread.join(10)
        stream.close()
    assert not thread.is_alive()
    assert said.rstrip().endswith("data: over")
    assert [record.getMessage() for record in caplog.records] == []
