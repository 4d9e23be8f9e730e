"""API tokens: made and ended by their owner, signed in on a page."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import audit
from api.db import tokens as tokens_db
from api.db.models import ApiToken
from api.domain.actors import SCOPES_OF_ROLE, Actor, Scope
from api.domain.errors import Conflict, Invalid, NotFound
from api.domain.secrets import API_TOKEN_PREFIX, digest, new_secret

MAX_TOKENS = 20


@dataclass(frozen=True, slots=True)
class MadeToken:
    """A new token and its secret, which is shown once and kept nowhere."""

    row: ApiToken
    secret: str


def list_tokens(session: Session, actor: Actor) -> Sequence[ApiToken]:
    """The membership's own tokens that are not revoked."""
    return tokens_db.tokens_of(session, actor.membership_id)


def make_token(
    session: Session,
    actor: Actor,
    *,
    name: str,
    scopes: Collection[Scope],
    lasts: timedelta | None,
    now: datetime,
) -> MadeToken:
    """Make a token narrower than its owner.

    Raises ``Invalid`` for a scope the owner's role cannot use, ``Conflict`` at ``MAX_TOKENS``.
    """
    _refuse_useless(actor, scopes)
    if len(tokens_db.tokens_of(session, actor.membership_id)) >= MAX_TOKENS:
        raise Conflict(f"You already have {MAX_TOKENS} tokens. Revoke one first.")
    secret = new_secret(API_TOKEN_PREFIX)
    row = ApiToken(
        membership_id=actor.membership_id,
        name=name,
        token_sha256=digest(secret),
        scopes=sorted({scope.value for scope in scopes}),
        expires_at=None if lasts is None else now + lasts,
    )
    session.add(row)
    session.flush()
    audit.record(session, "token.made", "token", row.id, actor=actor, after={"scopes": row.scopes})
    return MadeToken(row, secret)


def revoke_token(session: Session, actor: Actor, token_id: UUID, now: datetime) -> None:
    """End one of one's own tokens, at once."""
    if not tokens_db.revoke_token(session, actor.membership_id, token_id, now):
        raise NotFound("You have no such token.")
    audit.record(session, "token.revoked", "token", token_id, actor=actor)


def _refuse_useless(actor: Actor, scopes: Collection[Scope]) -> None:
    useless = sorted(set(scopes) - SCOPES_OF_ROLE[actor.role])
    if useless:
        usable = ", ".join(sorted(SCOPES_OF_ROLE[actor.role]))
        raise Invalid(
            f"A {actor.role.value} cannot use {', '.join(useless)}. Choose from: {usable}."
        )
