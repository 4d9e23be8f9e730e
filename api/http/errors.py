"""The one table from what went wrong to its HTTP status, and the handlers that apply it."""

import traceback
from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

import structlog
from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import Response
from sqlalchemy.exc import OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError
from starlette.exceptions import HTTPException

from api.domain import errors, upload_errors
from api.http.problems import problem_response

STATUS_OF: dict[type[errors.FairleadError], int] = {
    errors.NotSignedIn: 401,
    errors.NotAllowed: 403,
    errors.NotFound: 404,
    errors.Conflict: 409,
    errors.LinkSpent: 410,
    errors.Stale: 412,
    errors.TooLarge: 413,
    errors.Invalid: 422,
    errors.ClipRefused: 422,
    errors.PreconditionMissing: 428,
    errors.TooManyRequests: 429,
    # Statuses of the upload protocol: 460 is its own.
    upload_errors.BadTusRequest: 400,
    upload_errors.BodyTooSlow: 408,
    upload_errors.UploadGone: 410,
    upload_errors.UnsupportedTusVersion: 412,
    upload_errors.WrongUploadType: 415,
    upload_errors.UploadLocked: 423,
    upload_errors.ChecksumMismatch: 460,
    upload_errors.StorageFull: 507,
}

_CODE_OF_STATUS = {404: "not_found", 405: "method_not_allowed", 413: "too_large"}
_WORDS_OF_STATUS = {
    400: "The body is not JSON text in UTF-8.",
    404: "There is nothing at this address.",
    405: "This address does not take that kind of request.",
    413: "The request is larger than this address takes.",
}
_RETRY_BUSY_S = 2
# PostgreSQL: lock not available, query cancelled by its time-out, deadlock, serialisation failure.
_BUSY_SQLSTATES = frozenset({"55P03", "57014", "40P01", "40001"})
_FULL_SQLSTATE = "53100"

_log = structlog.get_logger("fairlead.http")


def status_of(error: errors.FairleadError) -> int:
    """The HTTP status of an expected refusal: its own class's, or its nearest parent's."""
    for cls in type(error).__mro__:
        if cls in STATUS_OF:
            return STATUS_OF[cls]
    return 400


async def _expected(request: Request, error: Exception) -> Response:
    if not isinstance(error, errors.FairleadError):
        raise error
    status = status_of(error)
    headers: dict[str, str] = {}
    if status == HTTPStatus.UNAUTHORIZED:
        headers["WWW-Authenticate"] = 'Bearer realm="fairlead"'
    if "retry_after_s" in error.details:
        headers["Retry-After"] = str(error.details["retry_after_s"])
    return problem_response(
        request, status, error.code, error.message, extra=error.details, headers=headers
    )


def _where(location: Sequence[Any]) -> str:
    return ".".join(str(part) for part in location)


async def _invalid(request: Request, error: Exception) -> Response:
    """Say which value and why, without sending the value back (it may be secret, huge or NaN)."""
    if not isinstance(error, RequestValidationError):
        raise error
    fields = [
        {"where": _where(one["loc"]), "message": str(one["msg"]).removeprefix("Value error, ")}
        for one in error.errors()[:20]
    ]
    detail = "; ".join(f"{field['where']}: {field['message']}" for field in fields)
    return problem_response(request, 422, "invalid", detail, extra={"fields": fields})


async def _http(request: Request, error: Exception) -> Response:
    if not isinstance(error, HTTPException):
        raise error
    status = error.status_code
    return problem_response(
        request,
        status,
        _CODE_OF_STATUS.get(
            status, "invalid" if status < HTTPStatus.INTERNAL_SERVER_ERROR else "internal"
        ),
        _WORDS_OF_STATUS.get(status, "The request could not be understood."),
        headers=error.headers,
    )


def _is_busy(error: Exception) -> bool:
    if isinstance(error, PoolTimeoutError):
        return True
    if not isinstance(error, OperationalError):
        return False
    sqlstate = getattr(error.orig, "sqlstate", "")
    if sqlstate is None or error.connection_invalidated:
        return True  # the server went away
    return sqlstate in _BUSY_SQLSTATES or "database is locked" in str(error.orig)


def _is_full(error: Exception) -> bool:
    sqlstate = getattr(getattr(error, "orig", None), "sqlstate", "")
    return sqlstate == _FULL_SQLSTATE or "disk is full" in str(getattr(error, "orig", ""))


async def _busy(request: Request, error: Exception) -> Response:
    """A lock or a connection did not come free in time: nothing was changed, trying again is safe."""
    if _is_full(error):
        _log.error("database_full", kind=type(error).__name__)
        words = "There is no room left on our side, and nothing was changed. Try again later."
        return problem_response(request, 507, "storage_full", words)
    if not _is_busy(error):
        return unexpected(request, error)
    _log.warning("database_busy", kind=type(error).__name__)
    return problem_response(
        request,
        503,
        "busy",
        "The database was busy and nothing was changed. Try again in a moment.",
        headers={"Retry-After": str(_RETRY_BUSY_S)},
    )


def unexpected(request: Request, error: Exception) -> Response:
    """Our own bug: logged by place and kind (texts may hold personal data), answered without leak."""
    frames = traceback.extract_tb(error.__traceback__)
    _log.error(
        "unexpected_error",
        kind=type(error).__name__,
        trace=[f"{frame.filename}:{frame.lineno} {frame.name}" for frame in frames[-12:]],
    )
    return problem_response(
        request,
        500,
        "internal",
        "Something went wrong on our side. Nothing you sent before is lost; try again, "
        "and tell the academy if it happens again.",
    )


def too_large(request: Request) -> Response:
    """For a body that declares more bytes than the address takes; it was not read."""
    return problem_response(request, 413, "too_large", _WORDS_OF_STATUS[413])


def install_error_handlers(app: FastAPI) -> None:
    """Give every failure a problem body. What is in no table ends in ``unexpected``."""
    app.add_exception_handler(errors.FairleadError, _expected)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(OperationalError, _busy)
    app.add_exception_handler(PoolTimeoutError, _busy)
