"""Serving the app on a socket, until it is told to end."""

import socket
import ssl
from collections.abc import Awaitable, Callable
from dataclasses import dataclass

import uvicorn
from fastapi import FastAPI


@dataclass(frozen=True, slots=True)
class Tls:
    """The files of a certificate and its key."""

    certificate: str
    key: str


class Server(uvicorn.Server):
    """Calls ``close`` before it waits for open connections, so that streams end by themselves and none is cut off."""

    def __init__(
        self, app: FastAPI, close: Callable[[], Awaitable[None]], tls: Tls | None = None, behind_proxy: bool = False
    ) -> None:
        config = uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,
            timeout_graceful_shutdown=2,
            server_header=False,
            ssl_certfile=tls.certificate if tls else None,
            ssl_keyfile=tls.key if tls else None,
            ssl_version=ssl.PROTOCOL_TLS_SERVER,
            proxy_headers=behind_proxy,
        )
        super().__init__(config)
        self._close = close

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        await self._close()
        await super().shutdown(sockets)
