"""Problem bodies against RFC 9457 (Problem Details for HTTP APIs), section by section."""

import ast
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit
from uuid import UUID

import pytest
from fastapi.testclient import TestClient
from httpx2 import Response

from api.db import migrate
from api.http.app import create_app
from api.http.errors import STATUS_OF
from api.http.problems import TITLES
from api.settings import Settings


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    settings = Settings(
        data_dir=tmp_path_factory.mktemp("var"), base_url="https://fairlead.example"
    )
    migrate.upgrade(settings.effective_database_url)
    with TestClient(create_app(settings), base_url="https://fairlead.example") as client:
        yield client


@pytest.fixture(scope="module")
def answers(client: TestClient) -> list[Response]:
    """One failure of each kind that a caller can bring about at once."""
    return [
        client.get("/api/v1/me"),
        client.get("/nothing"),
        client.get("/api/v1/sessions"),
        client.post("/api/v1/sessions", json={"token": "x"}),
        client.post("/api/v1/sessions", json={}),
        client.post(
            "/api/v1/sessions", json={"token": "x"}, headers={"Origin": "https://e.example"}
        ),
        client.post("/api/v1/sessions", json={"token": "x" * 300_000}),
    ]


def test_the_failures_are_of_seven_kinds(answers: list[Response]) -> None:
    assert [answer.status_code for answer in answers] == [401, 404, 405, 410, 422, 403, 413]


def test_the_media_type_is_problem_json(answers: list[Response]) -> None:
    # Section 3: "application/problem+json".
    assert {answer.headers["Content-Type"] for answer in answers} == {"application/problem+json"}


def test_the_members_have_the_types_of_section_3_1(answers: list[Response]) -> None:
    for answer in answers:
        body = answer.json()
        assert isinstance(body["type"], str)
        assert isinstance(body["title"], str)
        assert isinstance(body["detail"], str)
        assert isinstance(body["status"], int)
        assert isinstance(body["instance"], str)


def test_status_repeats_the_status_code(answers: list[Response]) -> None:
    # Section 3.1.2: generators MUST use the same status code in the actual HTTP response.
    for answer in answers:
        assert answer.json()["status"] == answer.status_code


def test_type_is_an_absolute_uri_that_leads_to_words(
    client: TestClient, answers: list[Response]
) -> None:
    # Section 3.1.1: absolute URIs are recommended; when resolvable, it should give documentation.
    for answer in answers:
        body = answer.json()
        parts = urlsplit(body["type"])
        assert (parts.scheme, parts.netloc) == ("https", "fairlead.example")
        assert client.get(parts.path).json() == {"code": body["code"], "title": body["title"]}


def test_title_is_the_same_for_every_occurrence_of_a_type(client: TestClient) -> None:
    # Section 3.1.3: it should not change from occurrence to occurrence.
    titles = {client.get(f"/nothing/{number}").json()["title"] for number in range(3)}
    assert titles == {TITLES["not_found"]}


def test_instance_is_a_uri_that_names_this_occurrence(client: TestClient) -> None:
    # Section 3.1.5. RFC 9562 section 4 gives urn:uuid.
    first, second = (client.get("/nothing") for _ in range(2))
    assert first.json()["instance"] == f"urn:uuid:{UUID(first.headers['X-Request-Id'])}"
    assert first.json()["instance"] != second.json()["instance"]


def test_extension_members_are_named_as_the_rfc_asks(answers: list[Response]) -> None:
    # Section 3.2: start with a letter, then letters, digits, _; three characters or longer.
    for answer in answers:
        for member in answer.json():
            assert member[0].isalpha()
            assert member.isascii()
            assert len(member) >= 3
            assert member.replace("_", "a").isalnum()


def test_401_says_how_to_authenticate(answers: list[Response]) -> None:
    # RFC 9110 section 15.5.2: MUST send WWW-Authenticate.
    assert answers[0].headers["WWW-Authenticate"] == 'Bearer realm="fairlead"'


def test_405_says_what_is_allowed(answers: list[Response]) -> None:
    # RFC 9110 section 15.5.6: MUST generate an Allow header field.
    assert answers[2].headers["Allow"] == "POST"


def test_every_kind_of_refusal_has_a_status_and_a_title() -> None:
    for error, status in STATUS_OF.items():
        assert 400 <= status < 600
        assert error.code in TITLES, error


def test_every_code_in_the_source_has_a_title() -> None:
    # A code without a title would lead nowhere: its type would answer 404.
    root = Path(__file__).resolve().parents[2] / "api"
    assert codes_in(root) - set(TITLES) == set()


def codes_in(root: Path) -> set[str]:
    """Every literal given as ``code=`` to a refusal in the web side."""
    codes = set()
    for folder in ("http", "services", "db", "storage"):
        for path in (root / folder).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text())):
                if not (isinstance(node, ast.keyword) and node.arg == "code"):
                    continue
                if isinstance(node.value, ast.Constant):
                    codes.add(str(node.value.value))
    assert "last_admin" in codes
    return codes
