"""Around every request: its id, its log line, the security headers, and the last net for bugs."""

import time
from collections.abc import MutableMapping
from typing import Any

import structlog
from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.domain.ids import new_id
from api.http.errors import unexpected
from api.http.metrics import RequestMetrics

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
    """Pure ASGI, so that streamed bodies stream. Answers a problem for anything uncaught."""

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
        status = 0
        started = time.perf_counter()

        async def send_with_headers(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                _add_headers(message, request_id)
            await send(message)

        with structlog.contextvars.bound_contextvars(request_id=request_id):
            try:
                await self._app(scope, receive, send_with_headers)
            except Exception as error:
                response = unexpected(Request(scope), error)
                if status:
                    raise  # the answer has begun: only breaking it off tells the caller
                await response(scope, receive, send_with_headers)
            finally:
                self._record(scope, status, time.perf_counter() - started)

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
