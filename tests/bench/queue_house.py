"""A running house with a queue of any length in it, and a coach signed in to look at it."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

from playwright.sync_api import Page
from sqlalchemy.orm import Session, sessionmaker

from api.db.models import Membership, SignInLink
from api.db.session import make_engine, make_session_factory
from api.domain.secrets import digest, new_secret
from api.settings import Settings
from tests.bench.queue_fill import Filled, fill_queue
from tests.browser.house import House


@contextmanager
def rows_of(house: House) -> Iterator[sessionmaker[Session]]:
    """The house's database, beside its programs."""
    settings = Settings(
        data_dir=house.folder, database_url=house.environment.get("FAIRLEAD_DATABASE_URL", "")
    )
    engine = make_engine(settings.effective_database_url)
    try:
        yield make_session_factory(engine)
    finally:
        engine.dispose()


def fill(house: House, waiting: int, *, students: int = 40) -> Filled:
    """Put a queue into the house."""
    with rows_of(house) as factory, factory() as session:
        filled = fill_queue(session, waiting, students=students)
        session.expunge_all()
        return filled


def sign_in(page: Page, house: House, member: Membership) -> None:
    """By a link, as everybody signs in; ends at the page of their role."""
    token = new_secret()
    with rows_of(house) as factory, factory.begin() as session:
        expires_at = datetime.now(UTC) + timedelta(hours=1)
        link = SignInLink(
            person_id=member.person_id, token_sha256=digest(token), expires_at=expires_at
        )
        session.add(link)
    page.goto(f"{house.base_url}/sign-in#token={token}")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "/sign-in" not in url)
