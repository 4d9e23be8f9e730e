"""Whether the process lives, whether it can work, and numbers about it."""

from ipaddress import ip_address

import structlog
from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, PlainTextResponse, Response
from prometheus_client import CONTENT_TYPE_LATEST, generate_latest
from sqlalchemy import text
from sqlalchemy.exc import SQLAlchemyError

from api.domain.errors import NotFound
from api.http.deps import SessionFactory

router = APIRouter(include_in_schema=False)

_PROBE_KEY = "health/probe"
_log = structlog.get_logger("fairlead.health")


@router.get("/healthz")
async def healthy() -> PlainTextResponse:
    """The process answers, also while every thread waits for the database."""
    return PlainTextResponse("ok\n")


@router.get("/readyz")
def ready(request: Request, factory: SessionFactory) -> JSONResponse:
    """The database answers and the store takes a write: 200, else 503 and which part failed."""
    parts = {"database": _database_answers(factory), "storage": _storage_takes(request)}
    return JSONResponse(
        {name: "ok" if works else "failing" for name, works in parts.items()},
        200 if all(parts.values()) else 503,
    )


@router.get("/metrics")
def metrics(request: Request) -> Response:
    """Prometheus text. Only for neighbours on the same network: a public caller finds nothing."""
    if not _is_neighbour(request):
        raise NotFound("There is nothing at this address.")
    return Response(generate_latest(request.app.state.registry), media_type=CONTENT_TYPE_LATEST)


def _is_neighbour(request: Request) -> bool:
    if request.client is None:
        return False
    try:
        address = ip_address(request.client.host)
    except ValueError:
        return False
    return address.is_loopback or address.is_private


def _database_answers(factory: SessionFactory) -> bool:
    try:
        with factory() as session:
            session.execute(text("SELECT 1"))
    except SQLAlchemyError as error:
        _log.warning("database_not_ready", kind=type(error).__name__)
        return False
    return True


def _storage_takes(request: Request) -> bool:
    try:
        request.app.state.storage.put_bytes(_PROBE_KEY, b"ready")
    except OSError as error:
        _log.warning("storage_not_ready", kind=type(error).__name__)
        return False
    return True
