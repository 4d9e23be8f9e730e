"""The Idempotency-Key header on routes that create."""

from collections.abc import Callable
from typing import Annotated

from fastapi import Header, Request
from fastapi.responses import JSONResponse
from pydantic import BaseModel
from sqlalchemy.orm import Session

from api.domain.actors import Actor
from api.services.idempotency import once

IdempotencyKeyHeader = Annotated[
    str | None,
    Header(
        alias="Idempotency-Key",
        min_length=1,
        max_length=200,
        pattern=r"^[\x21-\x7e]+$",
        description="Any unique text. Sending it again with the same request repeats the answer.",
        examples=["0d5b8c1e-5f0a-4c63-9f63-0b1d6d3f9d52"],
    ),
]


def answer_once(
    request: Request,
    session: Session,
    actor: Actor,
    key: str | None,
    sent: BaseModel | None,
    status: int,
    make: Callable[[], BaseModel],
    *,
    etag_of: Callable[[dict[str, object]], str] | None = None,
) -> JSONResponse:
    """Answer ``status`` with what ``make`` returns, or with what it returned the first time.

    A key counts per caller, method and path. ``etag_of`` reads the ETag from the body, so that a
    repeat carries it too. A repeat says so in ``Idempotency-Replayed``.
    """
    outcome = once(
        session,
        actor,
        route=f"{request.method} {request.url.path}",
        key=key,
        request={
            "sent": None if sent is None else sent.model_dump(mode="json"),
            # The same key with another version read is another wish, not a repeat of the first.
            "if_match": request.headers.get("if-match"),
        },
        status=status,
        make=lambda: make().model_dump(mode="json"),
    )
    headers = {"Idempotency-Replayed": "true"} if outcome.replayed else {}
    if etag_of is not None:
        headers["ETag"] = etag_of(outcome.body)
    return JSONResponse(outcome.body, outcome.status, headers=headers)
