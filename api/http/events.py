"""Server-Sent Events: where a submission is, told as it changes.

Each look at the database is a short transaction of its own: a stream that held one open would
keep every writer of SQLite waiting.
"""

import asyncio
import json
import time
from collections.abc import AsyncIterator
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends, Request
from fastapi.responses import StreamingResponse
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session, sessionmaker
from starlette.concurrency import run_in_threadpool

from api.db.clips import current_clips
from api.db.models import Membership
from api.db.session import transaction
from api.domain.actors import Actor, Scope
from api.domain.errors import NotFound
from api.domain.states import SubmissionState
from api.http.deps import AppSettings, SessionFactory, authenticate, authenticates, needs
from api.http.problems import problems
from api.services.submissions import MOVING_STATES, read_submission

router = APIRouter(tags=["submissions"])

LOOK_EVERY_S = 0.5
SIGN_OF_LIFE_EVERY_S = 15.0
LASTS_S = 600.0
"""After this the stream ends and the page asks again: nobody is watched for for ever."""

Told = dict[str, Any]


@authenticates
def watcher(request: Request, factory: SessionFactory, settings: AppSettings) -> Actor:
    """Who watches, authenticated in a transaction that ends before the stream begins."""
    with transaction(factory) as session:
        return authenticate(request, session, settings)


Watcher = Annotated[Actor, Depends(watcher)]


@router.get(
    "/submissions/{submission_id}/events",
    dependencies=[needs(Scope.CLIPS_READ)],
    response_class=StreamingResponse,
    responses={
        200: {"content": {"text/event-stream": {}}, "description": "Events named `state`."},
        **problems(404),
    },
)
async def watch_submission(
    submission_id: UUID, factory: SessionFactory, actor: Watcher
) -> StreamingResponse:
    """Events named `state` with `{state, clips: [{id, state, progress}]}`, one for each change.

    Ends when nothing more will change by itself, and after ten minutes at the latest.
    """
    first = await run_in_threadpool(_look, factory, actor, submission_id)
    return StreamingResponse(
        _tell(factory, actor, submission_id, first),
        media_type="text/event-stream",
        headers={"Cache-Control": "no-store", "X-Accel-Buffering": "no"},
    )


async def _tell(
    factory: sessionmaker[Session], actor: Actor, submission_id: UUID, first: Told
) -> AsyncIterator[str]:
    told, spoke, ends = first, time.monotonic(), time.monotonic() + LASTS_S
    yield _event(told)
    while SubmissionState(told["state"]) in MOVING_STATES and time.monotonic() < ends:
        await asyncio.sleep(LOOK_EVERY_S)
        try:
            seen = await run_in_threadpool(_look, factory, actor, submission_id)
        except NotFound:
            return
        except OperationalError:  # busy; the next look is half a second away
            continue
        if seen != told:
            yield _event(seen)
            told, spoke = seen, time.monotonic()
        elif time.monotonic() - spoke > SIGN_OF_LIFE_EVERY_S:
            yield ": still here\n\n"
            spoke = time.monotonic()


def _look(factory: sessionmaker[Session], actor: Actor, submission_id: UUID) -> Told:
    with transaction(factory) as session:
        if session.get_one(Membership, actor.membership_id).deactivated_at is not None:
            raise NotFound("Your place at the academy is closed.")
        submission = read_submission(session, actor, submission_id)
        return {
            "state": submission.state,
            "clips": [
                {
                    "id": str(clip.id),
                    "state": clip.state,
                    "progress": None
                    if clip.progress_stage is None
                    else {"stage": clip.progress_stage, "share": clip.progress_share or 0.0},
                }
                for clip in current_clips(submission)
            ],
        }


def _event(told: Told) -> str:
    return f"event: state\ndata: {json.dumps(told)}\n\n"
