"""One's own API tokens. Only a signed-in person manages them; a token cannot make tokens."""

from datetime import timedelta
from uuid import UUID

from fastapi import APIRouter

from api.db.base import utc_now
from api.http.deps import CurrentMember, DbSession
from api.http.problems import problems
from api.http.schemas.tokens import TokenMade, TokenRead, TokenWanted
from api.services import tokens as tokens_service

router = APIRouter(tags=["tokens"])


@router.post("/tokens", status_code=201, responses=problems(409))
def make_token(session: DbSession, actor: CurrentMember, sent: TokenWanted) -> TokenMade:
    """Make a token. Its secret is in this answer and nowhere else, so repeats make new tokens."""
    made = tokens_service.make_token(
        session,
        actor,
        name=sent.name,
        scopes=sent.scopes,
        lasts=None if sent.expires_in_days is None else timedelta(days=sent.expires_in_days),
        now=utc_now(),
    )
    return TokenMade(secret=made.secret, **TokenRead.model_validate(made.row).model_dump())


@router.get("/tokens")
def list_tokens(session: DbSession, actor: CurrentMember) -> list[TokenRead]:
    """One's own tokens that are not revoked."""
    return [TokenRead.model_validate(row) for row in tokens_service.list_tokens(session, actor)]


@router.delete("/tokens/{token_id}", status_code=204, responses=problems(404))
def revoke_token(token_id: UUID, session: DbSession, actor: CurrentMember) -> None:
    """End a token at once."""
    tokens_service.revoke_token(session, actor, token_id, utc_now())
