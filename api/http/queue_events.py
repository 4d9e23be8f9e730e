"""Server-Sent Events: which reviews of the academy changed, told as they change.

Each look is a short transaction of its own with one indexed query, whatever the length of the queue;
what changed is then asked for by its ids. Streams are bounded for each person and process.
"""

import asyncio
import json
import time
from collections import Counter
from collections.abc import AsyncIterator, Iterator
from contextlib import contextmanager
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Request
from fastapi.responses import StreamingResponse
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session, sessionmaker
from starlette.concurrency import run_in_threadpool

from api.db.models import Membership
from api.db.queues import Seen, changed_between, newest_changes
from api.db.session import transaction
from api.domain.actors import Actor, Scope
from api.domain.errors import NotFound, TooManyRequests
from api.domain.names import Role
from api.http.deps import (
    AppSettings,
    SessionFactory,
    authenticate,
    authenticates,
    needs,
    require_role,
)
from api.http.problems import problems

router = APIRouter(tags=["reviews"])

LOOK_EVERY_S = 0.5
SIGN_OF_LIFE_EVERY_S = 15.0
LASTS_S = 600.0
"""After this the stream ends and the page asks again: nobody is watched for for ever."""
STREAMS_EACH = 4
"""For one person: a few tabs. Whoever has more looks again every so often instead."""
_RETRY_AFTER_S = 60


class OpenStreams:
    """How many streams each person holds. Only the event loop's own thread asks."""

    def __init__(self) -> None:
        self._held: Counter[UUID] = Counter()

    def refuse_more(self, person_id: UUID) -> None:
        """Raise ``TooManyRequests`` with code ``too_many_streams`` when one more would be too many."""
        if self._held[person_id] >= STREAMS_EACH:
            raise TooManyRequests(
                "The queue is open in too many places; this one looks again every so often.",
                code="too_many_streams",
                details={"retry_after_s": _RETRY_AFTER_S},
            )

    @contextmanager
    def one_more(self, person_id: UUID) -> Iterator[None]:
        """Hold one while the block runs."""
        self._held[person_id] += 1
        try:
            yield
        finally:
            self._held[person_id] -= 1
            if self._held[person_id] <= 0:
                del self._held[person_id]


@authenticates
def watcher(request: Request, factory: SessionFactory, settings: AppSettings) -> Actor:
    """Who watches, authenticated in a transaction that ends before the stream begins."""
    with transaction(factory) as session:
        actor = authenticate(request, session, settings)
    return require_role(actor, Role.COACH, Role.ADMIN)


Watcher = Annotated[Actor, Depends(watcher)]


@router.get(
    "/reviews/events",
    dependencies=[needs(Scope.REVIEWS_READ)],
    response_class=StreamingResponse,
    responses={
        200: {
            "content": {"text/event-stream": {}},
            "description": "Events named `here` and `changed`.",
        },
        **problems(429),
    },
)
async def watch_queue(
    request: Request, factory: SessionFactory, actor: Watcher
) -> StreamingResponse:
    """An event `here` once the stream listens, then `changed` with `{ids}` whenever reviews change.

    Read the queue after `here`: what changed before is not told. `ids` are those to ask for again, or
    null when it is more than can be told one by one. Ends after ten minutes at the latest.
    """
    streams: OpenStreams = request.app.state.queue_streams
    streams.refuse_more(actor.person_id)
    return StreamingResponse(
        _tell(factory, actor, streams),
        media_type="text/event-stream",
        headers={"Cache-Control": "no-store", "X-Accel-Buffering": "no"},
    )


async def _tell(
    factory: sessionmaker[Session], actor: Actor, streams: OpenStreams
) -> AsyncIterator[str]:
    # Counted from here, not from the request: a stream that never began would never be given back.
    with streams.one_more(actor.person_id):
        told: Seen | None = None
        began = spoke = time.monotonic()
        while time.monotonic() - began < LASTS_S:
            try:
                seen = await run_in_threadpool(_look, factory, actor)
            except NotFound:
                return
            except OperationalError:  # busy; the next look is half a second away
                await asyncio.sleep(LOOK_EVERY_S)
                continue
            said = _said(told, seen)
            if said is None and time.monotonic() - spoke > SIGN_OF_LIFE_EVERY_S:
                said = ": still here\n\n"
            if said is not None:
                yield said
                spoke = time.monotonic()
            told = seen
            await asyncio.sleep(LOOK_EVERY_S)


def _said(told: Seen | None, seen: Seen) -> str | None:
    if told is None:
        return "event: here\ndata: {}\n\n"
    changed = changed_between(told, seen)
    if changed == []:
        return None
    ids = None if changed is None else [str(one) for one in changed]
    return f"event: changed\ndata: {json.dumps({'ids': ids})}\n\n"


def _look(factory: sessionmaker[Session], actor: Actor) -> Seen:
    with transaction(factory) as session:
        if session.get_one(Membership, actor.membership_id).deactivated_at is not None:
            raise NotFound("Your place at the academy is closed.")
        return newest_changes(session, actor)
