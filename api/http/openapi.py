"""The OpenAPI document: ``python -m api.http.openapi > web/openapi.json``.

FastAPI's own, completed from the routes themselves: who may call each operation, which scope a
token needs, and that every failure is a problem body.
"""

import json
import sys
from collections.abc import Iterator, Sequence
from http import HTTPStatus
from typing import Any

from fastapi import APIRouter, FastAPI
from fastapi.dependencies.models import Dependant
from fastapi.openapi.utils import get_openapi
from fastapi.routing import APIRoute

from api.http.deps import CSRF_HEADER, SESSION_COOKIE, get_member
from api.http.problems import MEDIA_TYPE, Problem

_SECURITY_SCHEMES = {
    "session": {
        "type": "apiKey",
        "in": "cookie",
        "name": SESSION_COOKIE,
        "description": f"A signed-in browser. Changing requests also carry {CSRF_HEADER}, "
        "with the value of `csrf_token` in GET /api/v1/me.",
    },
    "token": {
        "type": "http",
        "scheme": "bearer",
        "description": "A program's token, made at POST /api/v1/tokens. Operations that list "
        "a scope (`x-scope`) can be called with a token that has it.",
    },
}
_PROBLEM = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}


def install_openapi(app: FastAPI, prefix: str, routers: Sequence[APIRouter]) -> None:
    """Let ``app.openapi()`` give the completed document."""

    def document() -> dict[str, Any]:
        if app.openapi_schema is None:
            app.openapi_schema = _document(app, prefix, routers)
        return app.openapi_schema

    app.openapi = document  # type: ignore[method-assign]  # FastAPI's documented way


def api_routes(routers: Sequence[APIRouter]) -> Iterator[APIRoute]:
    """Every operation of the API proper."""
    for router in routers:
        for route in router.routes:
            if isinstance(route, APIRoute) and route.include_in_schema:
                yield route


def scope_of(route: APIRoute) -> str | None:
    """The scope a token needs for this route; None when no token may use it."""
    for dependant in route.dependant.dependencies:
        scope = getattr(dependant.call, "scope", None)
        if scope is not None:
            return str(scope)
    return None


def is_public(route: APIRoute) -> bool:
    """Whether a route can be called without signing in."""
    return not (
        _depends_on_member(route.dependant) or getattr(route.endpoint, "authenticates", False)
    )


def _depends_on_member(dependant: Dependant) -> bool:
    return (
        dependant.call is get_member
        or getattr(dependant.call, "authenticates", False)
        or any(_depends_on_member(inner) for inner in dependant.dependencies)
    )


def _document(app: FastAPI, prefix: str, routers: Sequence[APIRouter]) -> dict[str, Any]:
    document = get_openapi(
        title=app.title,
        version=app.version,
        summary=app.summary,
        description=app.description,
        openapi_version=app.openapi_version,
        routes=app.routes,
    )
    schemas = document.setdefault("components", {}).setdefault("schemas", {})
    schemas.setdefault(
        "Problem", Problem.model_json_schema(ref_template="#/components/schemas/{model}")
    )
    for name, inner in schemas["Problem"].pop("$defs", {}).items():
        schemas.setdefault(name, inner)
    document["components"]["securitySchemes"] = _SECURITY_SCHEMES
    for route in api_routes(routers):
        for method in route.methods or ():
            operation = document["paths"][prefix + route.path_format].get(method.lower())
            if operation is not None:
                _complete(operation, route)
    for unused in ("HTTPValidationError", "ValidationError"):
        schemas.pop(unused, None)
    return document


def _complete(operation: dict[str, Any], route: APIRoute) -> None:
    scope = scope_of(route)
    statuses = [500, 503, *([400, 413] if "requestBody" in operation else [])]
    if is_public(route):
        operation["security"] = []
    else:
        operation["security"] = [{"session": []}, *([{"token": []}] if scope else [])]
        statuses += [401, 403]
    if scope:
        operation["x-scope"] = scope
    responses = operation["responses"]
    for status in statuses:
        responses.setdefault(str(status), {"description": HTTPStatus(status).phrase})
    for status, response in responses.items():
        if status.isdigit() and int(status) >= HTTPStatus.BAD_REQUEST:
            response["content"] = _PROBLEM
            if status == "422":
                response["description"] = "A value cannot be accepted; `fields` says which."


def main() -> None:
    """Write the document to standard output, the same bytes for the same code."""
    from api.http.app import create_app  # noqa: PLC0415 - the app module imports this one

    json.dump(create_app().openapi(), sys.stdout, indent=2, sort_keys=True, ensure_ascii=False)
    sys.stdout.write("\n")


if __name__ == "__main__":
    main()
