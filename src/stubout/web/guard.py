"""Stands before everything else: who is called, from where, how much, how often; and the headers of every answer.

A page of another origin that a browser has open cannot reach the app: the Host header has to be one of ours (against
rebinding of names), a changing request has to come from our own pages, and needs a token of the session besides
(`people.py`).
"""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from stubout.web.settings import LOOPBACK, Limits, Settings

SAFE: Final = ("GET", "HEAD", "OPTIONS")
_CLIENTS: Final = 2000  # whose budget is remembered
CSP: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self'; "
    "manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS: Final = {
    "Content-Security-Policy": CSP,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), camera=()",
}


class TooLarge(Exception):  # noqa: N818 - reads as a sentence where it is caught
    """More came than the request said, or than is taken."""


class Budget:
    """How many requests each client may still make; refilled as time goes by."""

    def __init__(self, burst: float, a_second: float, clock: Callable[[], float] = time.monotonic) -> None:
        self.burst, self.a_second, self.clock = burst, a_second, clock
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def take(self, client: str) -> bool:
        """Return whether this client may go on, and count it."""
        now = self.clock()
        left, at = self._left.pop(client, (self.burst, now))
        left = min(self.burst, left + (now - at) * self.a_second)
        allowed = left >= 1.0
        self._left[client] = (left - 1.0 if allowed else left, now)
        if len(self._left) > _CLIENTS:
            self._left.popitem(last=False)
        return allowed


class Guard:
    """The ASGI layer round the whole app."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.settings = settings
        self.budget = Budget(settings.limits.requests_burst, settings.limits.requests_a_second)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # no web sockets here
        headers = Headers(scope=scope)
        refused = self._refusal(scope, headers)
        if refused is not None:
            await refused(scope, receive, _with_headers(send))
            return
        most = most_bytes(scope["path"], self.settings.limits)
        came = 0
        begun = False

        async def counted() -> Message:
            nonlocal came
            message = await receive()
            came += len(message.get("body", b""))
            if came > most:
                raise TooLarge
            return message

        async def noted(message: Message) -> None:
            nonlocal begun
            begun = True
            await _with_headers(send)(message)

        try:
            await self.app(scope, counted, noted)
        except TooLarge:
            if not begun:
                await _no(scope, 413, f"At most {most} bytes are taken here.")(scope, receive, _with_headers(send))

    def _refusal(self, scope: Scope, headers: Headers) -> Response | None:
        client = scope["client"][0] if scope.get("client") else ""
        if headers.get("host", "").lower() not in self.settings.names:
            return _no(scope, 421, "This server is not called by that name.")
        if client not in LOOPBACK and not self.budget.take(client):
            return _no(scope, 429, "Too many requests; wait a moment.")
        if scope["method"] not in SAFE and not _same_origin(headers):
            return _no(scope, 403, "The request comes from a page that is not ours.")
        length = headers.get("content-length", "0")
        most = most_bytes(scope["path"], self.settings.limits)
        if not length.isascii() or not length.isdigit() or int(length[:20]) > most:
            return _no(scope, 413, f"At most {most} bytes are taken here.")
        return None


def _same_origin(headers: Headers) -> bool:
    """Return whether a changing request comes from our own pages, or from no browser: the token is asked besides."""
    origin = headers.get("origin")
    if origin is not None:
        return origin.lower() in (f"http://{headers['host'].lower()}", f"https://{headers['host'].lower()}")
    return headers.get("sec-fetch-site", "same-origin") in ("same-origin", "none")


def most_bytes(path: str, limits: Limits) -> int:
    """Return how large a request to a path may be."""
    last = path.rstrip("/").rpartition("/")[2]
    if last == "photos":
        return limits.photo_bytes
    if path.rstrip("/").endswith("/along/entries"):
        return limits.brought_bytes
    if last == "prices":
        return limits.prices_bytes
    if last in ("edit", "import", "text", "faults", "check", "entries") or path.rstrip("/") == "/api/jobs":
        return limits.job_bytes
    return limits.form_bytes


def _no(scope: Scope, status: int, words: str) -> Response:
    if scope["path"].startswith("/api/"):
        return JSONResponse({"schema": 1, "error": words, "faults": []}, status)
    return PlainTextResponse(f"{words}\n", status)


def _with_headers(send: Send) -> Send:
    async def dressed(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(raw=message["headers"])
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("Cache-Control", "no-store")
            message["headers"] = headers.raw
        await send(message)

    return dressed
