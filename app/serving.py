"""Serving the app on a socket, until it is told to end."""

import socket
import ssl
from collections.abc import Awaitable, Callable
from dataclasses import dataclass

import uvicorn
from fastapi import FastAPI

LOOPBACK_HOST = "127.0.0.1"
TRIES = 20


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


def listen(host: str, port: int, tries: int = TRIES) -> socket.socket | None:
    """A socket that listens at the port, or at the next one that is free; None where none of them is.

    Raises OSError where the host is none of this machine's.
    """
    family, *_, address = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0]
    for candidate in range(port, min(port + tries, 65536)):
        listener = socket.socket(family)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listener.bind((address[0], candidate))
            listener.listen()
        except PermissionError:
            listener.close()
            return None
        except OSError as error:
            listener.close()
            if error.errno == 99:  # no such address here
                raise
            continue
        return listener
    return None
