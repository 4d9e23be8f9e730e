"""What must happen once happens once, however many ask in the same moment. On both databases."""

from collections.abc import Iterator, Sequence
from functools import partial
from uuid import UUID

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session, sessionmaker

from api.db.base import utc_now
from api.db.models import Club, Invitation, Membership, Person, SignInLink, SignInSession
from api.db.session import make_engine, make_session_factory
from api.domain.actors import Actor
from api.domain.errors import Conflict, FairleadError, Invalid, LinkSpent
from api.domain.names import Role
from api.domain.secrets import digest
from api.services import clubs, invitations, people, sign_in
from api.services.idempotency import Outcome, once
from api.settings import Settings
from tests import factories
from tests.api.race import at_once

AT_ONCE = 6


@pytest.fixture
def factory(either_url: str) -> Iterator[sessionmaker[Session]]:
    engine = make_engine(either_url)
    yield make_session_factory(engine)
    engine.dispose()


def kinds(results: Sequence[object]) -> list[str]:
    return sorted(type(result).__name__ for result in results)


def count(factory: sessionmaker[Session], row: type) -> int:
    with factory() as session:
        return session.scalars(select(func.count()).select_from(row)).one()


def test_a_sign_in_link_opens_one_session(
    factory: sessionmaker[Session], settings: Settings
) -> None:
    with factory.begin() as session:
        member = factories.make_member(session)
        session.add(
            SignInLink(
                person_id=member.person_id,
                token_sha256=digest("the-link"),
                expires_at=utc_now() + settings.sign_in_link_lasts,
            )
        )

    def confirm(session: Session) -> str:
        return sign_in.sign_in_by_link(session, settings, "the-link", utc_now()).cookie

    results = at_once(factory, *[confirm] * AT_ONCE)

    assert kinds(results) == ["LinkSpent"] * (AT_ONCE - 1) + ["str"]
    assert count(factory, SignInSession) == 1


def test_an_invitation_makes_one_person_and_one_place(
    factory: sessionmaker[Session], settings: Settings
) -> None:
    with factory.begin() as session:
        admin = factories.make_member(session, Role.ADMIN)
        session.add(
            Invitation(
                academy_id=admin.academy_id,
                email="new@example.org",
                name="New Student",
                role="student",
                token_sha256=digest("the-invitation"),
                expires_at=utc_now() + settings.invitation_lasts,
            )
        )

    def accept(session: Session) -> str:
        return invitations.accept(session, settings, "the-invitation", None, utc_now()).cookie

    results = at_once(factory, *[accept] * AT_ONCE)

    assert kinds(results) == ["LinkSpent"] * (AT_ONCE - 1) + ["str"]
    assert count(factory, Person) == 2
    assert count(factory, Membership) == 2


def test_two_invitations_of_one_address_taken_up_together_make_one_person(
    factory: sessionmaker[Session], settings: Settings
) -> None:
    with factory.begin() as session:
        for number in range(2):
            academy = factories.make_academy(session)
            session.add(
                Invitation(
                    academy_id=academy.id,
                    email="both@example.org",
                    name="Two Academies",
                    role="coach",
                    token_sha256=digest(f"invitation-{number}"),
                    expires_at=utc_now() + settings.invitation_lasts,
                )
            )

    def accept(token: str, session: Session) -> str:
        return invitations.accept(session, settings, token, None, utc_now()).cookie

    results = at_once(factory, partial(accept, "invitation-0"), partial(accept, "invitation-1"))

    assert kinds(results) == ["str", "str"]
    assert count(factory, Person) == 1
    assert count(factory, Membership) == 2


def test_inviting_the_same_address_together_leaves_one_open_invitation(
    factory: sessionmaker[Session], settings: Settings
) -> None:
    with factory.begin() as session:
        actor = factories.actor_of(factories.make_member(session, Role.ADMIN))

    def invite(session: Session) -> Invitation:
        return invitations.invite(
            session,
            settings,
            actor,
            email="new@example.org",
            name="New",
            role=Role.STUDENT,
            now=utc_now(),
        )

    results = at_once(factory, *[invite] * AT_ONCE)

    assert kinds(results) == ["Conflict"] * (AT_ONCE - 1) + ["Invitation"]
    assert count(factory, Invitation) == 1


def test_two_admins_cannot_close_each_others_places_and_leave_none(
    factory: sessionmaker[Session],
) -> None:
    with factory.begin() as session:
        first = factories.make_member(session, Role.ADMIN)
        second = factories.make_member(session, Role.ADMIN, academy=first.academy)
        pairs = [
            (factories.actor_of(first), second.id),
            (factories.actor_of(second), first.id),
        ]

    def close(actor: Actor, other: UUID, session: Session) -> str:
        people.deactivate(session, actor, other, utc_now())
        return "closed"

    results = at_once(factory, *[partial(close, *pair) for pair in pairs])

    assert kinds(results) == ["Conflict", "str"]
    refusal = next(result for result in results if isinstance(result, Conflict))
    assert refusal.code == "last_admin"


def add_club_once(actor: Actor, key: str, name: str, session: Session) -> Outcome:
    def make() -> dict[str, object]:
        club = clubs.add_club(session, actor, None, name=name, length_m=0.94)
        return {"id": str(club.id)}

    return once(
        session, actor, route="POST /clubs", key=key, request={"name": name}, status=201, make=make
    )


def test_one_idempotency_key_makes_one_thing_and_repeats_its_answer(
    factory: sessionmaker[Session],
) -> None:
    with factory.begin() as session:
        actor = factories.actor_of(factories.make_member(session))

    results = at_once(factory, *[partial(add_club_once, actor, "k", "7 iron")] * AT_ONCE)

    outcomes = [result for result in results if isinstance(result, Outcome)]
    assert len(outcomes) == AT_ONCE
    assert len({outcome.body["id"] for outcome in outcomes}) == 1
    assert sorted(outcome.replayed for outcome in outcomes) == [False] + [True] * (AT_ONCE - 1)
    assert count(factory, Club) == 1


def test_a_key_used_for_another_request_is_refused(factory: sessionmaker[Session]) -> None:
    with factory.begin() as session:
        actor = factories.actor_of(factories.make_member(session))
    with factory.begin() as session:
        add_club_once(actor, "k", "7 iron", session)
    with pytest.raises(Invalid) as refusal, factory.begin() as session:
        add_club_once(actor, "k", "driver", session)
    assert refusal.value.code == "idempotency_key_reused"
    assert count(factory, Club) == 1


def test_a_request_that_failed_leaves_its_key_free(factory: sessionmaker[Session]) -> None:
    with factory.begin() as session:
        actor = factories.actor_of(factories.make_member(session))

    def fail(session: Session) -> Outcome:
        def make() -> dict[str, object]:
            raise Conflict("not now")

        return once(
            session,
            actor,
            route="POST /clubs",
            key="k",
            request={"name": "7 iron"},
            status=201,
            make=make,
        )

    (failed,) = at_once(factory, fail)
    assert isinstance(failed, FairleadError)
    with factory.begin() as session:
        assert add_club_once(actor, "k", "7 iron", session).replayed is False


def test_two_people_may_use_the_same_key(factory: sessionmaker[Session]) -> None:
    with factory.begin() as session:
        actors = [factories.actor_of(factories.make_member(session)) for _ in range(2)]
    for actor in actors:
        with factory.begin() as session:
            assert add_club_once(actor, "k", "7 iron", session).replayed is False


def test_link_spent_says_why(factory: sessionmaker[Session], settings: Settings) -> None:
    with factory.begin() as session:
        member = factories.make_member(session)
        for token, used_at in (("used", utc_now()), ("expired", None)):
            session.add(
                SignInLink(
                    person_id=member.person_id,
                    token_sha256=digest(token),
                    expires_at=utc_now() - settings.sign_in_link_lasts,
                    used_at=used_at,
                )
            )
    words = {}
    for token in ("used", "expired", "unknown"):
        with pytest.raises(LinkSpent) as refusal, factory.begin() as session:
            sign_in.sign_in_by_link(session, settings, token, utc_now())
        words[token] = refusal.value.message
    assert "used already" in words["used"]
    assert "expired" in words["expired"]
    assert "not one of ours" in words["unknown"]
    assert all("Enter your mail address" in message for message in words.values())
