"""Coming in by a mailed link, and going out."""

import time
from collections.abc import AsyncIterator
from typing import Annotated

import anyio
from fastapi import APIRouter, Depends, Request, Response

from api.db.base import utc_now
from api.domain.actors import Actor
from api.domain.names import Role
from api.http.deps import (
    SESSION_COOKIE,
    AppSettings,
    CurrentMember,
    DbSession,
    check_origin,
)
from api.http.me import me_of
from api.http.problems import problems
from api.http.rate_limits import (
    LINKS_PER_CALLER,
    LINKS_PER_EMAIL,
    TRIES_PER_CALLER,
    RateLimits,
    caller_address,
)
from api.http.schemas.people import (
    InvitationAccepted,
    LinkConfirmed,
    MeRead,
    SignInLinkAsked,
)
from api.services import invitations as invitations_service
from api.services import sign_in as sign_in_service
from api.services.sign_in import OpenedSession
from api.settings import Settings

router = APIRouter(tags=["sign-in"])

ANSWER_NO_SOONER_S = 0.25
"""A known address costs a few writes more than an unknown one; both are answered this late."""


def get_rate_limits(request: Request) -> RateLimits:
    """The app's counters."""
    limits: RateLimits = request.app.state.rate_limits
    return limits


Limits = Annotated[RateLimits, Depends(get_rate_limits)]


async def steady_pace() -> AsyncIterator[None]:
    """Hold the answer back until ``ANSWER_NO_SOONER_S`` after the request came.

    Must be the route's first dependency: it then ends last, after the commit.
    """
    came = time.monotonic()
    yield
    await anyio.sleep(max(0.0, came + ANSWER_NO_SOONER_S - time.monotonic()))


@router.post(
    "/sign-in-links",
    status_code=202,
    responses=problems(403, 429),
    dependencies=[Depends(steady_pace, scope="function"), Depends(check_origin)],
)
def ask_for_link(
    request: Request,
    sent: SignInLinkAsked,
    session: DbSession,
    settings: AppSettings,
    limits: Limits,
) -> None:
    """Ask for a sign-in link by mail. The answer never tells whether the address is known."""
    limits.spend(LINKS_PER_CALLER, "link-caller", caller_address(request))
    limits.spend(LINKS_PER_EMAIL, "link-email", sent.email)
    sign_in_service.ask_for_link(session, settings, sent.email, utc_now())


@router.post("/sessions", responses=problems(403, 410, 429), dependencies=[Depends(check_origin)])
def sign_in(
    request: Request,
    response: Response,
    sent: LinkConfirmed,
    session: DbSession,
    settings: AppSettings,
    limits: Limits,
) -> MeRead:
    """Confirm a mailed link: it is spent, and the browser is signed in by a cookie."""
    limits.spend(TRIES_PER_CALLER, "confirm", caller_address(request))
    opened = sign_in_service.sign_in_by_link(session, settings, sent.token, utc_now())
    set_cookie(response, settings, opened)
    return me_of(session, actor_of(opened))


@router.post(
    "/invitation-acceptances",
    responses=problems(403, 410, 429),
    dependencies=[Depends(check_origin)],
)
def accept_invitation(
    request: Request,
    response: Response,
    sent: InvitationAccepted,
    session: DbSession,
    settings: AppSettings,
    limits: Limits,
) -> MeRead:
    """Take an invitation up: the place is made, and the browser is signed in by a cookie."""
    limits.spend(TRIES_PER_CALLER, "confirm", caller_address(request))
    opened = invitations_service.accept(session, settings, sent.token, sent.name, utc_now())
    set_cookie(response, settings, opened)
    return me_of(session, actor_of(opened))


@router.delete("/sessions/current", status_code=204)
def sign_out(session: DbSession, actor: CurrentMember, settings: AppSettings) -> Response:
    """Sign this browser out."""
    sign_in_service.sign_out(session, actor, utc_now())
    response = Response(status_code=204)
    response.delete_cookie(
        SESSION_COOKIE, path="/", secure=_is_https(settings), httponly=True, samesite="lax"
    )
    return response


def actor_of(opened: OpenedSession) -> Actor:
    """Whoever was just signed in."""
    member = opened.member
    return Actor(
        membership_id=member.id,
        academy_id=member.academy_id,
        person_id=member.person_id,
        role=Role(member.role),
        session_id=opened.row.id,
    )


def set_cookie(response: Response, settings: Settings, opened: OpenedSession) -> None:
    """Give the browser what it needs to stay signed in."""
    response.set_cookie(
        SESSION_COOKIE,
        opened.cookie,
        max_age=int(settings.session_lasts.total_seconds()),
        path="/",
        secure=_is_https(settings),
        httponly=True,
        samesite="lax",
    )


def _is_https(settings: Settings) -> bool:
    return settings.base_url.startswith("https://")
