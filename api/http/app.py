"""The app factory: every part is made here, from settings, and taken down here."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from prometheus_client import CollectorRegistry

from api.db.session import make_engine, make_session_factory
from api.http import (
    health,
    pages,
    uploads,
)
from api.http.errors import install_error_handlers
from api.http.logs import configure_logs
from api.http.metrics import RequestMetrics
from api.http.middleware import RequestContext
from api.settings import Settings
from api.storage.factory import link_signer, open_storage

API_PREFIX = "/api/v1"
MAX_BODY_BYTES = 256 * 1024
"""For everything but the upload route, which sets its own."""

_API_ROUTERS = (uploads.router,)


def create_app(settings: Settings | None = None) -> FastAPI:
    """Make the app. ``settings`` defaults to the environment's (``uvicorn --factory``)."""
    app = FastAPI(
        title="Fairlead",
        version="0.1.0",
        summary="Coaching by phone clip for golf.",
        lifespan=_lifespan,
        openapi_url=f"{API_PREFIX}/openapi.json",
        docs_url=None,  # its page loads scripts from elsewhere
        redoc_url=None,
        max_body_size=MAX_BODY_BYTES,
    )
    app.state.settings = settings or Settings()
    app.state.registry = CollectorRegistry()
    configure_logs()
    install_error_handlers(app)
    app.add_middleware(RequestContext, metrics=RequestMetrics(app.state.registry))
    for router in _API_ROUTERS:
        app.include_router(router, prefix=API_PREFIX)
    app.include_router(health.router)
    app.include_router(pages.router)  # last: it takes what is left
    return app


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    settings: Settings = app.state.settings
    engine = make_engine(settings.effective_database_url)
    app.state.engine = engine
    app.state.session_factory = make_session_factory(engine)
    app.state.storage = open_storage(settings)
    app.state.link_signer = link_signer(settings)
    try:
        yield
    finally:
        engine.dispose()
