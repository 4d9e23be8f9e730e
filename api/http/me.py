"""Who is signed in, and what they may change about themselves."""

from fastapi import APIRouter
from sqlalchemy.orm import Session

from api.db.models import SignInSession
from api.domain.actors import Actor
from api.http.deps import CurrentMember, DbSession
from api.http.problems import problems
from api.http.schemas.people import ActiveChosen, MeRead, PlaceRead, ProfileChanged
from api.services import people as people_service
from api.services import sign_in as sign_in_service

router = APIRouter(tags=["me"])


def me_of(session: Session, actor: Actor) -> MeRead:
    """What the pages need to know about their user."""
    signed_in = actor.session_id and session.get_one(SignInSession, actor.session_id)
    return MeRead.of(
        people_service.own_person(session, actor),
        [PlaceRead.of(member) for member in people_service.own_places(session, actor)],
        signed_in.membership_id if signed_in else actor.membership_id,
        signed_in.csrf_token if signed_in else None,
    )


@router.get("/me")
def read_me(session: DbSession, actor: CurrentMember) -> MeRead:
    """Who is signed in, and where they act."""
    return me_of(session, actor)


@router.patch("/me")
def change_me(session: DbSession, actor: CurrentMember, sent: ProfileChanged) -> MeRead:
    """Change one's name, side, stature or language."""
    people_service.update_profile(
        session,
        actor,
        name=sent.name,
        handed=sent.handed,
        stature_m=sent.stature_m,
        clear_stature="stature_m" in sent.model_fields_set,
        language=sent.language,
        clear_language="language" in sent.model_fields_set,
    )
    return me_of(session, actor)


@router.put("/me/active", responses=problems(404))
def choose_active(session: DbSession, actor: CurrentMember, sent: ActiveChosen) -> MeRead:
    """Act in another of one's own places from now on, in this browser."""
    sign_in_service.act_in(session, actor, sent.membership_id)
    session.expire_all()
    return me_of(session, actor)
