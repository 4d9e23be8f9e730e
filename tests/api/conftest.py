"""A migrated database, an app and signed-in callers for every test of the API."""

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from pydantic import SecretStr
from sqlalchemy import Engine
from sqlalchemy.orm import Session, sessionmaker

from api.db import migrate
from api.db.models import Membership
from api.db.session import make_engine, make_session_factory
from api.http.app import create_app
from api.http.deps import CSRF_HEADER, SESSION_COOKIE
from api.settings import Settings
from tests import factories

BASE_URL = "http://fairlead.test"


@pytest.fixture(scope="session")
def migrated_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file with every table, made by the migrations, copied for each test."""
    path = tmp_path_factory.mktemp("migrated") / "empty.sqlite3"
    migrate.upgrade(f"sqlite:///{path}")
    with sqlite3.connect(path) as connection:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    return path


@pytest.fixture
def sqlite_url(migrated_sqlite: Path, tmp_path: Path) -> str:
    """A migrated SQLite database of this test's own."""
    path = tmp_path / "fairlead.sqlite3"
    shutil.copyfile(migrated_sqlite, path)
    return f"sqlite:///{path}"


@pytest.fixture(params=["sqlite", "postgresql"])
def either_url(request: pytest.FixtureRequest) -> str:
    """A migrated database of each kind in turn, for what must hold on both."""
    if request.param == "sqlite":
        return str(request.getfixturevalue("sqlite_url"))
    url = str(request.getfixturevalue("new_postgres_url"))
    migrate.upgrade(url)
    return url


@pytest.fixture
def database_url(sqlite_url: str) -> str:
    """The database of ``settings``; a test that wants another overrides this."""
    return sqlite_url


@pytest.fixture
def settings(database_url: str, tmp_path: Path) -> Settings:
    return Settings(
        data_dir=tmp_path / "var",
        database_url=database_url,
        base_url=BASE_URL,
        secret=SecretStr("secret of the tests"),
        web_dist=tmp_path / "dist",
    )


@pytest.fixture
def engine(database_url: str) -> Iterator[Engine]:
    engine = make_engine(database_url)
    yield engine
    engine.dispose()


@pytest.fixture
def session_factory(engine: Engine) -> sessionmaker[Session]:
    return make_session_factory(engine)


@pytest.fixture
def session(session_factory: sessionmaker[Session]) -> Iterator[Session]:
    """For arranging and looking. Commit before calling the app: SQLite has one writer at a time."""
    with session_factory() as session:
        yield session


@pytest.fixture
def app(settings: Settings) -> FastAPI:
    return create_app(settings)


@pytest.fixture
def client(app: FastAPI) -> Iterator[TestClient]:
    """A caller who is not signed in. Redirects are not followed and bugs answer 500."""
    with TestClient(
        app,
        base_url=BASE_URL,
        follow_redirects=False,
        raise_server_exceptions=False,
        client=("127.0.0.1", 50000),
    ) as client:
        yield client


@pytest.fixture
def as_member(client: TestClient, session: Session) -> Callable[[Membership], TestClient]:
    """Sign ``client`` in as a membership (commits what the test arranged), with its CSRF header."""

    def sign_in(member: Membership) -> TestClient:
        signed_in = factories.make_session(session, member)
        session.commit()
        client.cookies.set(SESSION_COOKIE, signed_in.cookie)
        client.headers[CSRF_HEADER] = signed_in.csrf_token
        return client

    return sign_in
