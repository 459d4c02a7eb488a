"""What every answer and every request must keep: known hosts, no foreign posts, strict headers.

The demo has no accounts, so the only thing between another web page and its buttons is the browser's word on where a
request came from. A POST without that word (neither Sec-Fetch-Site nor Origin) is refused: browsers send one.
"""

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
_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})


class Guards:
    """ASGI middleware: refuses what it should, and sets the security headers on everything that goes out."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str]) -> None:
        self.app = app
        self.hosts = hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)

        async def send_guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                out = MutableHeaders(scope=message)
                for name, value in SECURITY_HEADERS.items():
                    out[name] = value
                if not scope["path"].startswith("/static/"):
                    out["Cache-Control"] = "no-store"
            await send(message)

        refusal = self._refusal(scope, headers)
        await (refusal or self.app)(scope, receive, send_guarded)

    def _refusal(self, scope: Scope, headers: Headers) -> PlainTextResponse | None:
        host = headers.get("host", "")
        if _without_port(host) not in self.hosts:
            return PlainTextResponse("This demo answers to 127.0.0.1 and localhost only.\n", 400)
        if scope["method"] not in _SAFE and not _from_here(scope, headers, host):
            return PlainTextResponse("Refused: the request comes from another site.\n", 403)
        return None


def _without_port(host: str) -> str:
    name, _, port = host.rpartition(":")
    return name if name and port.isdigit() else host


def _from_here(scope: Scope, headers: Headers, host: str) -> bool:
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site == "same-origin"
    return headers.get("origin") == f"{scope['scheme']}://{host}"
