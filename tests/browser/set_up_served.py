"""A clinic's database served on a port of its own, in a thread."""

import socket
import threading
import time

from app.db.store import Store
from app.main import close_app
from app.serving import Server
from tests.app.set_up_clinic import app_of


class Served:
    def __init__(self, store: Store) -> None:
        app = app_of(store)
        self._socket = socket.socket()
        self._socket.bind(("127.0.0.1", 0))
        self.origin = f"http://127.0.0.1:{self._socket.getsockname()[1]}"
        self._server = Server(app, lambda: close_app(app))
        self._thread = threading.Thread(target=self._server.run, kwargs={"sockets": [self._socket]}, daemon=True)
        self._thread.start()
        while not self._server.started:
            time.sleep(0.01)

    def stop(self) -> None:
        self._server.should_exit = True
        self._thread.join(10)
        self._socket.close()
