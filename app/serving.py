"""Serving the app on a socket, until it is told to end."""

import asyncio
import socket
from collections.abc import Callable

import uvicorn
from fastapi import FastAPI


class Server(uvicorn.Server):
    """Calls ``close`` before it waits for open connections, so that streams end by themselves and none is cut off."""

    def __init__(self, app: FastAPI, close: Callable[[], None]) -> None:
        super().__init__(uvicorn.Config(app, log_level="warning", access_log=False, timeout_graceful_shutdown=2))
        self._close = close

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        await asyncio.to_thread(self._close)
        await super().shutdown(sockets)
