"""What routes ask for in their signatures: the session, and who is calling.

A route without one of the actor aliases is visibly public. A route a token may use says so with
``dependencies=[needs(Scope.X)]``; without it only a signed-in browser gets in.
"""

import hmac
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from typing import Annotated, Any, TypeVar
from urllib.parse import urlsplit
from uuid import UUID

from fastapi import Depends, Query, Request
from sqlalchemy.orm import Session, sessionmaker

from api.db import sign_in as sign_in_db
from api.db import tokens as tokens_db
from api.db.models import Membership
from api.domain.actors import Actor, Scope
from api.domain.errors import NotAllowed, NotSignedIn
from api.domain.names import Role
from api.domain.secrets import digest
from api.settings import Settings

SESSION_COOKIE = "fairlead_session"
CSRF_HEADER = "X-CSRF-Token"
_SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})


def get_settings(request: Request) -> Settings:
    """The app's settings."""
    settings: Settings = request.app.state.settings
    return settings


AppSettings = Annotated[Settings, Depends(get_settings)]


def get_session_factory(request: Request) -> sessionmaker[Session]:
    """For routes that run long: open a short transaction around each step, never one for all."""
    factory: sessionmaker[Session] = request.app.state.session_factory
    return factory


SessionFactory = Annotated[sessionmaker[Session], Depends(get_session_factory)]


def get_session(request: Request, factory: SessionFactory) -> Iterator[Session]:
    """One request is one transaction, committed before the answer leaves."""
    with factory() as session, session.begin():
        session.info["request_id"] = request.state.request_id
        yield session


# scope="function": with the default scope the answer leaves first and a failing commit says 200.
DbSession = Annotated[Session, Depends(get_session, scope="function")]


def needs(scope: Scope) -> Any:  # noqa: ANN401 - FastAPI's Depends returns Any
    """Let tokens with ``scope`` use a route (``dependencies=[needs(...)]``)."""

    def mark(request: Request) -> None:
        request.state.needed_scope = scope

    mark.scope = scope  # type: ignore[attr-defined]  # read back for the OpenAPI document
    return Depends(mark)


def check_origin(request: Request, settings: AppSettings) -> None:
    """Refuse a changing request that a page of another site made.

    Browsers send Origin with every such request; programs send none and pass. Raises
    ``NotAllowed`` with code ``csrf``.
    """
    if request.method in _SAFE_METHODS:
        return
    origin = request.headers.get("origin")
    if origin is None:
        crossed = request.headers.get("sec-fetch-site") in {"cross-site", "same-site"}
    else:
        ours = urlsplit(settings.base_url)
        crossed = _place(origin) not in {ours.netloc, request.headers.get("host")}
    if crossed:
        raise NotAllowed(
            "This request came from another site's page and was not carried out.", code="csrf"
        )


def _place(origin: str) -> str | None:
    try:
        return urlsplit(origin).netloc
    except ValueError:
        return None


def _check_csrf(request: Request, settings: Settings, expected: str) -> None:
    if request.method in _SAFE_METHODS:
        return
    check_origin(request, settings)
    given = request.headers.get(CSRF_HEADER, "")
    if not hmac.compare_digest(given.encode(), expected.encode()):
        raise NotAllowed(
            f"The {CSRF_HEADER} header is missing or old. Load the page again.", code="csrf"
        )


def _actor(
    membership: Membership,
    *,
    scopes: frozenset[Scope] | None = None,
    session_id: UUID | None = None,
) -> Actor:
    return Actor(
        membership_id=membership.id,
        academy_id=membership.academy_id,
        person_id=membership.person_id,
        role=Role(membership.role),
        scopes=scopes,
        session_id=session_id,
    )


def _actor_of_token(session: Session, secret: str) -> Actor:
    now = datetime.now(UTC)
    found = tokens_db.live_token(session, digest(secret), now)
    if found is None:
        raise NotSignedIn("The token is unknown, expired or revoked. Make a new one.")
    token, membership = found
    tokens_db.note_use(session, token, now)
    known = {scope.value for scope in Scope}
    return _actor(membership, scopes=frozenset(Scope(s) for s in token.scopes if s in known))


def authenticate(request: Request, session: Session, settings: Settings) -> Actor:
    """Who is calling, by bearer token or session cookie; a token wins when both are sent.

    For routes that manage their own transactions; others name an actor alias. Raises
    ``NotSignedIn``, or ``NotAllowed`` when the CSRF check or the token's scope fails.
    """
    scheme, _, secret = request.headers.get("authorization", "").partition(" ")
    if scheme:
        if scheme.lower() != "bearer" or not secret:
            raise NotSignedIn("Send the token as 'Authorization: Bearer <token>'.")
        actor = _actor_of_token(session, secret.strip())
    else:
        actor = _actor_of_cookie(request, session, settings)
    if not actor.may_use(getattr(request.state, "needed_scope", None)):
        raise NotAllowed("This token may not be used for that.", code="scope_missing")
    return actor


def _actor_of_cookie(request: Request, session: Session, settings: Settings) -> Actor:
    cookie = request.cookies.get(SESSION_COOKIE)
    if cookie is None:
        raise NotSignedIn("Sign in first.")
    found = sign_in_db.live_session(session, digest(cookie), datetime.now(UTC))
    if found is None:
        raise NotSignedIn("You have been signed out. Sign in again.")
    signed_in, membership = found
    _check_csrf(request, settings, signed_in.csrf_token)
    return _actor(membership, session_id=signed_in.id)


Call = TypeVar("Call", bound=Callable[..., Actor])


def authenticates(call: Call) -> Call:
    """Mark a dependency that calls ``authenticate`` in a transaction of its own.

    The OpenAPI document reads the mark, to say that its routes are not public.
    """
    call.__dict__["authenticates"] = True
    return call


def require_role(actor: Actor, *roles: Role) -> Actor:
    """Return ``actor`` when it holds one of ``roles``, else raise ``NotAllowed``."""
    if actor.role not in roles:
        allowed = " or ".join(role.value for role in roles)
        raise NotAllowed(f"Only a {allowed} may do this; you are here as {actor.role.value}.")
    return actor


def get_member(request: Request, session: DbSession, settings: AppSettings) -> Actor:
    """Anybody with a place in an academy."""
    return authenticate(request, session, settings)


CurrentMember = Annotated[Actor, Depends(get_member)]


def _only(*roles: Role) -> Callable[[Actor], Actor]:
    def check(actor: CurrentMember) -> Actor:
        return require_role(actor, *roles)

    return check


CurrentStudent = Annotated[Actor, Depends(_only(Role.STUDENT))]
CurrentCoach = Annotated[Actor, Depends(_only(Role.COACH))]
StudentOrGuardian = Annotated[Actor, Depends(_only(Role.STUDENT, Role.GUARDIAN))]
"""Who does what a student does: themself, or for a child (``api.db.people.student_acted_as``)."""
ForWhom = Annotated[
    UUID | None, Query(alias="student_id", description="A guardian says for which child.")
]
AcademyAdmin = Annotated[Actor, Depends(_only(Role.ADMIN))]
CoachOrAdmin = Annotated[Actor, Depends(_only(Role.COACH, Role.ADMIN))]

PageSize = Annotated[int, Query(ge=1, le=200, description="How many items at most.")]
