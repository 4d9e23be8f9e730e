"""Every operation, tried by everybody who may not use it."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from fastapi.testclient import TestClient
from httpx2 import Response
from sqlalchemy.orm import Session

from api.db.models import Membership
from api.domain.actors import SCOPES_OF_ROLE, Scope
from api.domain.names import Role
from api.http.app import create_app
from api.http.deps import CSRF_HEADER
from api.settings import Settings
from tests import factories
from tests.api.http.access_table import ACCESS, FIXED_PARAMETERS, Access, House

SignIn = Callable[[Membership], TestClient]
METHODS = frozenset({"get", "head", "options", "post", "put", "patch", "delete"})


def operations() -> dict[str, dict[str, Any]]:
    paths = create_app(Settings()).openapi()["paths"]
    return {
        f"{method.upper()} {path}": operation
        for path, item in paths.items()
        for method, operation in item.items()
        if method in METHODS
    }


OPERATIONS = operations()
GUARDED = sorted(name for name, access in ACCESS.items() if access.roles is not None)
CHANGING = [name for name in GUARDED if name.split(" ")[0] not in {"GET", "HEAD", "OPTIONS"}]
OWNED = sorted(name for name, access in ACCESS.items() if access.foreign is not None)


@pytest.fixture
def own(session: Session) -> House:
    return House.build(session)


@pytest.fixture
def other(session: Session) -> House:
    return House.build(session)


def call(client: TestClient, name: str, parameters: dict[str, object] | None = None) -> Response:
    method, path = name.split(" ")
    access = ACCESS[name]
    for parameter in re.findall(r"\{(\w+)(?::path)?\}", path):
        fixed = FIXED_PARAMETERS.get(parameter, factories.unknown_id())
        given = (parameters or {}).get(parameter, fixed)
        path = re.sub(rf"\{{{parameter}(?::path)?\}}", str(given), path)
    return client.request(method, path, json=access.sent, headers=access.headers)


def test_every_operation_has_a_rule_and_every_rule_an_operation() -> None:
    assert sorted(OPERATIONS) == sorted(ACCESS)


@pytest.mark.parametrize("name", sorted(ACCESS))
def test_the_document_says_the_same(name: str) -> None:
    access, operation = ACCESS[name], OPERATIONS[name]
    assert (operation["security"] == []) == (access.roles is None)
    assert operation.get("x-scope") == access.scope
    assert ({"token": []} in operation["security"]) == (access.scope is not None)


@pytest.mark.parametrize("name", sorted(ACCESS))
def test_paths_with_ids_name_things_that_are_not_the_callers(name: str) -> None:
    # Otherwise a new route could be listed without its 404 ever being tried.
    assert ("{" in name) == (ACCESS[name].foreign is not None)


@pytest.mark.parametrize("name", GUARDED)
def test_without_signing_in_401(name: str, client: TestClient) -> None:
    answer = call(client, name)
    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"].startswith("Bearer")
    if not name.startswith("HEAD"):
        assert answer.json()["code"] == "not_signed_in"


@pytest.mark.parametrize("name", GUARDED)
def test_from_a_wrong_role_403(name: str, own: House, as_member: SignIn) -> None:
    for role in set(Role) - set(ACCESS[name].roles or ()):
        answer = call(as_member(own.members[role]), name)
        assert answer.status_code == 403, role
        if not name.startswith("HEAD"):
            assert answer.json()["code"] == "not_allowed"


@pytest.mark.parametrize("name", CHANGING)
def test_changes_need_the_csrf_token(name: str, own: House, as_member: SignIn) -> None:
    for role in ACCESS[name].roles or ():
        client = as_member(own.members[role])
        del client.headers[CSRF_HEADER]
        answer = call(client, name)
        assert (answer.status_code, answer.json()["code"]) == (403, "csrf")


@pytest.mark.parametrize("name", GUARDED)
def test_a_token_reaches_as_far_as_its_scopes(
    name: str, own: House, session: Session, client: TestClient
) -> None:
    access: Access = ACCESS[name]
    for role in access.roles or ():
        member = own.members[role]
        others = [scope for scope in Scope if scope.value != access.scope]
        narrow = factories.make_token(session, member, *others)
        wide = factories.make_token(session, member, *Scope)
        session.commit()
        answer = call_as(client, name, narrow)
        assert answer.status_code == 403
        if not name.startswith("HEAD"):  # a HEAD answer has no body to read the code from
            assert answer.json()["code"] == "scope_missing"
        answer = call_as(client, name, wide)
        if access.scope is None:
            assert answer.status_code == 403
        else:
            assert answer.status_code not in {401, 403}
            assert Scope(access.scope) in SCOPES_OF_ROLE[role]


def call_as(client: TestClient, name: str, token: str) -> Response:
    client.headers["Authorization"] = f"Bearer {token}"
    return call(client, name)


@pytest.mark.parametrize("name", OWNED)
def test_what_is_not_the_callers_does_not_exist(
    name: str, own: House, other: House, as_member: SignIn, session: Session
) -> None:
    access = ACCESS[name]
    assert access.foreign is not None
    things = access.foreign(own, other)
    session.commit()
    for role in access.roles or ():
        for parameters in [*things, {}]:
            answer = call(as_member(own.members[role]), name, parameters)
            assert answer.status_code == 404, (role, parameters)
            if not name.startswith("HEAD"):
                assert answer.json()["code"] == "not_found"
