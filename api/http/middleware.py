"""Around every request: its id, its log line, the security headers, and the last net for bugs."""

import time
from collections.abc import MutableMapping
from http import HTTPStatus
from typing import Any

import structlog
from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.domain.ids import new_id
from api.http.errors import too_large, unexpected
from api.http.metrics import RequestMetrics
from api.http.problems import MEDIA_TYPE

CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
    "media-src 'self' blob:; connect-src 'self'; font-src 'self'; manifest-src 'self'; "
    "worker-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)

SECURITY_HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(self), microphone=(), geolocation=()",
}

_API_PREFIX = "/api/v1"

_log = structlog.get_logger("fairlead.http")


class RequestContext:
    """The outermost layer. Pure ASGI, so that streamed bodies stream."""

    def __init__(self, app: ASGIApp, metrics: RequestMetrics) -> None:
        self._app = app
        self._metrics = metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Run one request inside its context."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request_id = str(new_id())
        scope.setdefault("state", {})["request_id"] = request_id
        answer = _Answer(scope, receive, send)
        started = time.perf_counter()
        with structlog.contextvars.bound_contextvars(request_id=request_id):
            try:
                await self._app(scope, receive, answer.send)
            finally:
                self._record(scope, answer.status, time.perf_counter() - started)

    def _record(self, scope: Scope, status: int, seconds: float) -> None:
        route = route_template(scope)
        self._metrics.record(scope["method"], route, status, seconds)
        _log.info(
            "request",
            method=scope["method"],
            route=route,
            status=status,
            ms=round(seconds * 1000, 1),
        )


class _Answer:
    """One answer on its way out: headers added, and the framework's own 413 put into our form.

    The framework refuses a body by its declared length with a plain text, past every handler.
    """

    def __init__(self, scope: Scope, receive: Receive, send: Send) -> None:
        self._scope = scope
        self._receive = receive
        self._send = send
        self._replaced = False
        self.status = 0

    async def send(self, message: Message) -> None:
        """Pass one message on."""
        if self._replaced:
            return
        if message["type"] == "http.response.start":
            if _is_bare_413(message):
                self._replaced = True
                await too_large(Request(self._scope))(self._scope, self._receive, self._finish)
                return
            self._prepare(message)
        await self._send(message)

    async def _finish(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self._prepare(message)
        await self._send(message)

    def _prepare(self, message: Message) -> None:
        self.status = message["status"]
        _add_headers(message, self._scope["state"]["request_id"])


class LastNet:
    """Inside everything of the framework's: answers a problem for whatever nobody caught."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Run one request; log and answer what it raises."""
        begun = False
        broken_send: Exception | None = None

        async def watched_send(message: Message) -> None:
            nonlocal begun, broken_send
            begun = begun or message["type"] == "http.response.start"
            try:
                await send(message)
            except Exception as error:
                broken_send = error
                raise

        try:
            await self._app(scope, receive, watched_send)
        except HTTPException:
            raise  # the framework's own signal, which it answers further out
        except Exception as error:
            if scope["type"] != "http" or error is broken_send:
                raise  # the caller went away, or the framework stopped the answer: no bug of ours
            response = unexpected(Request(scope), error)
            if begun:
                raise  # only breaking the answer off tells the caller
            await response(scope, receive, watched_send)


def _is_bare_413(message: Message) -> bool:
    return (
        message["status"] == HTTPStatus.REQUEST_ENTITY_TOO_LARGE
        and Headers(raw=message["headers"]).get("content-type") != MEDIA_TYPE
    )


def _add_headers(message: MutableMapping[str, Any], request_id: str) -> None:
    headers = MutableHeaders(scope=message)
    headers["X-Request-Id"] = request_id
    for name, value in SECURITY_HEADERS.items():
        headers.setdefault(name, value)
    if "Cache-Control" not in headers:
        headers["Cache-Control"] = "no-store"


def route_template(scope: Scope) -> str:
    """The route's pattern: never the path itself, which may carry a signed link."""
    pattern: str | None = getattr(scope.get("route"), "path", None)
    if pattern is None:
        return "unmatched"
    # An included router's routes know their path without the prefix it was included under.
    under_api = scope["path"].startswith(_API_PREFIX) and not pattern.startswith(_API_PREFIX)
    return _API_PREFIX + pattern if under_api else pattern
