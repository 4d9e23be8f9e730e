"""Give the first answer again to a repeated request, instead of doing the work twice."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from api.db import idempotency as idempotency_db
from api.domain.actors import Actor
from api.domain.errors import Conflict, Invalid


@dataclass(frozen=True, slots=True)
class Outcome:
    """What to answer, and whether it is a repeat."""

    status: int
    body: dict[str, Any]
    replayed: bool


def once(
    session: Session,
    actor: Actor,
    *,
    route: str,
    key: str | None,
    request: object,
    status: int,
    make: Callable[[], dict[str, Any]],
) -> Outcome:
    """Run ``make`` unless this caller already used ``key`` on ``route``; then repeat its answer.

    ``request`` is the JSON-able content that a repeat must share, else ``Invalid`` with code
    ``idempotency_key_reused``. Without a key ``make`` simply runs. When ``make`` raises, the
    transaction ends and the key is free again. Never use it for answers that hold a secret: they
    are kept in the database.
    """
    if key is None:
        return Outcome(status, make(), replayed=False)
    digest = _digest(request)
    row = idempotency_db.reserve(session, actor.membership_id, route, key, digest)
    if row is None:
        return _repeat(session, actor, route, key, digest)
    body = make()
    row.status, row.response = status, body
    session.flush()
    return Outcome(status, body, replayed=False)


def _repeat(session: Session, actor: Actor, route: str, key: str, digest: str) -> Outcome:
    row = idempotency_db.kept(session, actor.membership_id, route, key)
    if row is None:
        raise Conflict("The same request is being worked on. Try again in a moment.")
    if row.request_sha256 != digest:
        raise Invalid(
            "This Idempotency-Key was used for a different request. Use a new key.",
            code="idempotency_key_reused",
        )
    return Outcome(row.status, row.response, replayed=True)


def _digest(request: object) -> str:
    text = json.dumps(request, sort_keys=True, separators=(",", ":"), default=str)
    return hashlib.sha256(text.encode()).hexdigest()
