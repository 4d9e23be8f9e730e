"""The app factory: every part is made here, from settings, and taken down here."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import APIRouter, FastAPI
from fastapi.routing import APIRoute
from prometheus_client import CollectorRegistry
from starlette.types import ASGIApp

from api.db.outbox import announce_commits, make_sender
from api.db.session import make_engine, make_session_factory
from api.http import (
    academy,
    audit,
    bands,
    catalogue,
    checkpoints,
    clubs,
    consents,
    corrections,
    drills,
    events,
    findings,
    guardians,
    health,
    invitations,
    joining,
    mails,
    me,
    media,
    notices,
    opinions,
    own_data,
    pages,
    people,
    phrases,
    practice,
    progress,
    questions,
    queue_events,
    queue_views,
    queues,
    reviews,
    sheets,
    sign_in,
    submissions,
    tokens,
    uploads,
)
from api.http.errors import install_error_handlers
from api.http.logs import configure_logs
from api.http.metrics import JobNumbers, RequestMetrics
from api.http.middleware import LastNet, RequestContext
from api.http.openapi import install_openapi
from api.http.rate_limits import RateLimits
from api.settings import Settings
from api.storage.factory import link_signer, open_storage

API_PREFIX = "/api/v1"
MAX_BODY_BYTES = 256 * 1024
"""For everything but the upload route, which sets its own."""

API_ROUTERS: tuple[APIRouter, ...] = (
    sign_in.router,
    me.router,
    people.router,
    progress.router,
    practice.router,
    questions.router,
    invitations.router,
    joining.router,
    guardians.router,
    consents.router,
    own_data.router,
    tokens.router,
    clubs.router,
    submissions.router,
    sheets.router,
    events.router,
    uploads.router,
    media.router,
    notices.router,
    queues.router,
    queue_events.router,  # before the reviews by id: its path would be taken for one
    queue_views.router,
    reviews.router,
    opinions.router,
    phrases.router,
    findings.router,
    drills.router,
    checkpoints.router,
    corrections.router,
    bands.router,
    academy.router,
    audit.router,
    mails.router,
    catalogue.router,
)

_DESCRIPTION = (
    "Students send swing clips, workers measure them, coaches correct and answer. "
    "Errors are problem bodies (RFC 9457) with a stable `code`; times are RFC 3339 in UTC; "
    "ids are UUIDv7 (RFC 9562). Another academy's things do not exist for you: 404."
)


class _App(FastAPI):
    """FastAPI with our layer around its own outermost ones."""

    def build_middleware_stack(self) -> ASGIApp:
        return RequestContext(super().build_middleware_stack(), self.state.request_metrics)


def create_app(settings: Settings | None = None) -> FastAPI:
    """Make the app. ``settings`` defaults to the environment's (``uvicorn --factory``)."""
    settings = settings or Settings()
    app = _App(
        title="Fairlead",
        version="0.1.0",
        summary="Coaching by phone clip for golf.",
        description=_DESCRIPTION,
        lifespan=_lifespan,
        openapi_url=f"{API_PREFIX}/openapi.json",
        docs_url=None,  # its page loads scripts from elsewhere
        redoc_url=None,
        redirect_slashes=False,
        max_body_size=MAX_BODY_BYTES,
        generate_unique_id_function=_operation_id,
    )
    app.state.settings = settings
    app.state.registry = CollectorRegistry()
    app.state.request_metrics = RequestMetrics(app.state.registry)
    app.state.rate_limits = RateLimits(settings.broker_url)
    app.state.queue_streams = queue_events.OpenStreams()
    configure_logs()
    install_error_handlers(app)
    app.add_middleware(LastNet)
    for router in API_ROUTERS:
        app.include_router(router, prefix=API_PREFIX)
    app.include_router(health.router)
    app.include_router(notices.one_click)
    app.include_router(pages.router)  # last: it takes what is left
    install_openapi(app, API_PREFIX, API_ROUTERS)
    return app


def _operation_id(route: APIRoute) -> str:
    return route.name


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    settings: Settings = app.state.settings
    engine = make_engine(settings.effective_database_url)
    factory = make_session_factory(engine)
    announce_commits(factory, make_sender(settings.broker_url))
    app.state.engine = engine
    app.state.session_factory = factory
    app.state.storage = open_storage(settings)
    app.state.link_signer = link_signer(settings)
    numbers = JobNumbers(factory)
    app.state.registry.register(numbers)
    try:
        yield
    finally:
        app.state.registry.unregister(numbers)
        engine.dispose()
