"""Who may ask for what: hosts, origins, the token of an open network, and what a page may load.

STOP is let through before every other question.
"""

from __future__ import annotations

import ipaddress
import secrets
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from urllib.parse import parse_qs, urlsplit

from starlette.datastructures import Headers
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from heatwright import sentences

STOP = "/stop"
COOKIE = "heatwright-token"
LOCAL = ("127.0.0.1", "localhost", "::1")
# Chart and script lie on this server; the chart sets sizes through the style object only.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
# A run's report brings its own two scripts and its style in the page; it may load nothing.
REPORT_HEADERS = {
    "content-security-policy": (
        "default-src 'none'; script-src 'unsafe-inline'; style-src 'unsafe-inline'; "
        "img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    ),
}
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    # a form's Origin is "null" without it
    "referrer-policy": "same-origin",
    "cache-control": "no-store",
    "cross-origin-opener-policy": "same-origin",
}


@dataclass
class Guard:
    """ASGI middleware. ``token`` is asked for on an open network only."""

    app: ASGIApp
    lan: bool = False
    token: str = field(default_factory=lambda: secrets.token_urlsafe(9))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if refusal:
            await self._refuse(refusal, scope, receive, send)
        elif self._brings_token(scope):
            await self._keep_token(scope, receive, send)
        else:
            await self.app(scope, receive, _with_headers(send))

    def _refusal(self, scope: Scope) -> str:
        if scope["type"] == "http" and scope["method"] == "POST" and scope["path"] == STOP:
            return ""
        headers = Headers(scope=scope)
        host = headers.get("host", "")
        if not self._is_ours(host):
            return sentences.PAGE_HOST
        if self.lan and not self._has_token(scope, headers):
            return sentences.PAGE_TOKEN
        changes = scope["type"] == "websocket" or scope["method"] not in ("GET", "HEAD")
        if changes and urlsplit(headers.get("origin", "")).netloc != host:
            return sentences.PAGE_ORIGIN
        return ""

    def _is_ours(self, host: str) -> bool:
        """A name would let a foreign page point it here; a number can't be pointed."""
        name = urlsplit(f"//{host}").hostname or ""
        return name in LOCAL or (self.lan and _is_address(name))

    def _has_token(self, scope: Scope, headers: Headers) -> bool:
        cookies = SimpleCookie(headers.get("cookie", ""))
        given = cookies[COOKIE].value if COOKIE in cookies else ""
        return self._is_token(given) or self._brings_token(scope)

    def _brings_token(self, scope: Scope) -> bool:
        query = parse_qs(scope["query_string"].decode("latin-1"))
        is_get = scope["type"] == "http" and scope["method"] == "GET"
        return self.lan and is_get and self._is_token(query.get("token", [""])[0])

    def _is_token(self, given: str) -> bool:
        return secrets.compare_digest(given.encode(), self.token.encode())

    async def _keep_token(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Out of the address, so that nobody reads it over a shoulder; strict: no page rides it."""
        response = RedirectResponse(scope["path"], 303)
        response.set_cookie(COOKIE, self.token, httponly=True, samesite="strict")
        await response(scope, receive, send)

    async def _refuse(self, why: str, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008, "reason": ""})
            return
        await PlainTextResponse(why, 403)(scope, receive, send)


def _is_address(name: str) -> bool:
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            present = {name for name, _ in message["headers"]}
            message["headers"] += [
                (name.encode(), value.encode())
                for name, value in HEADERS.items()
                if name.encode() not in present
            ]
        await send(message)

    return sent
