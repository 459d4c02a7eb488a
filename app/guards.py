"""What every answer and every request must keep: known hosts, no foreign posts, a limit of size, strict headers.

A change that comes from another site's page is told by what browsers say of every request: Sec-Fetch-Site, or Origin
where that is not sent, which is so over plain http under a name of the local network. A change that says neither is
refused: browsers say one. A fault is told with its kind and place and nothing else, since what it says may name a
patient.
"""

import logging
import traceback

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; style-src-attr 'unsafe-inline'; img-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""Style attributes are allowed, style elements are not: a part's minutes reach the style sheet as custom properties."""

SECURITY_HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
FOR_TLS = {"Strict-Transport-Security": "max-age=31536000"}
LARGEST_BODY = 256 * 1024
LARGEST_FILE_BODY = 3 * 1024 * 1024
FILES_UNDER = "/set-up/csv"
"""Bodies are larger only below this address, where files come in."""
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
_log = logging.getLogger("uvicorn.error")


class Guards:
    """ASGI middleware: refuses what it should, and sets the security headers on everything that goes out.

    ``secure``: people reach the app by TLS, so that pages of its own come from https.
    """

    def __init__(self, app: ASGIApp, hosts: frozenset[str], secure: bool) -> None:
        self.app = app
        self.hosts = hosts
        self.secure = secure

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        begun = False
        left = LARGEST_FILE_BODY if scope["path"].startswith(FILES_UNDER) else LARGEST_BODY

        async def send_guarded(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                out = MutableHeaders(scope=message)
                for name, value in (SECURITY_HEADERS | (FOR_TLS if self.secure else {})).items():
                    out[name] = value
                if not scope["path"].startswith("/static/"):
                    out["Cache-Control"] = "no-store"
            await send(message)

        async def receive_limited() -> Message:
            nonlocal left
            message = await receive()
            left -= len(message.get("body", b""))
            if left < 0:
                raise _TooLargeError
            return message

        refusal = self._refusal(scope, Headers(scope=scope), left)
        try:
            await (refusal or self.app)(scope, receive_limited, send_guarded)
        except _TooLargeError:
            if not begun:
                await _too_large()(scope, receive, send_guarded)
        except Exception as error:
            frame = traceback.extract_tb(error.__traceback__)[-1]
            _log.error("a fault in Channelday: %s at %s:%s", type(error).__name__, frame.filename, frame.lineno)
            if not begun:
                text = "Something went wrong in Channelday, and nothing was changed. It is in the log.\n"
                await PlainTextResponse(text, 500)(scope, receive, send_guarded)

    def _refusal(self, scope: Scope, headers: Headers, most: int) -> PlainTextResponse | None:
        host = headers.get("host", "")
        if _without_port(host) not in self.hosts:
            return PlainTextResponse("Channelday does not answer to this host name.\n", 400)
        if scope["method"] not in _SAFE and not self._from_here(scope, headers, host):
            return PlainTextResponse("Refused: the request comes from another site.\n", 403)
        length = headers.get("content-length", "0")
        if not (length.isascii() and length.isdigit()) or len(length) > 12 or int(length) > most:
            return _too_large()
        return None

    def _from_here(self, scope: Scope, headers: Headers, host: str) -> bool:
        site = headers.get("sec-fetch-site")
        if site is not None:
            return site == "same-origin"
        scheme = "https" if self.secure else scope["scheme"]
        return headers.get("origin") == f"{scheme}://{host}"


class _TooLargeError(Exception):
    pass


def _too_large() -> PlainTextResponse:
    return PlainTextResponse("Refused: more was sent than this address takes.\n", 413)


def _without_port(host: str) -> str:
    name, _, port = host.rpartition(":")
    return name if name and port.isdigit() else host
