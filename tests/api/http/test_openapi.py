"""The OpenAPI document is complete and true."""

import json
import subprocess
import sys
from typing import Any

import pytest
from fastapi.testclient import TestClient

from api.http.app import create_app
from api.http.problems import MEDIA_TYPE
from api.settings import Settings

DOCUMENT: dict[str, Any] = create_app(Settings()).openapi()
OPERATIONS = {
    f"{method.upper()} {path}": operation
    for path, item in DOCUMENT["paths"].items()
    for method, operation in item.items()
}


def test_the_app_serves_it(client: TestClient) -> None:
    assert client.get("/api/v1/openapi.json").json() == DOCUMENT


def test_the_writer_writes_the_same_bytes_every_time() -> None:
    command = [sys.executable, "-m", "api.http.openapi"]
    written = [
        subprocess.run(command, check=True, capture_output=True, timeout=60).stdout
        for _ in range(2)
    ]
    assert written[0] == written[1]
    assert json.loads(written[0]) == DOCUMENT


@pytest.mark.parametrize("name", sorted(OPERATIONS))
def test_every_operation_is_described(name: str) -> None:
    operation = OPERATIONS[name]
    assert operation["summary"]
    assert operation["description"]
    assert operation["tags"]
    assert "security" in operation


def test_operations_have_names_of_their_own() -> None:
    names = [operation["operationId"] for operation in OPERATIONS.values()]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("name", sorted(OPERATIONS))
def test_every_failure_is_a_problem(name: str) -> None:
    for status, response in OPERATIONS[name]["responses"].items():
        if status >= "400":
            assert set(response["content"]) == {MEDIA_TYPE}, status
            schema = response["content"][MEDIA_TYPE]["schema"]
            assert schema == {"$ref": "#/components/schemas/Problem"}


def references(node: object) -> set[str]:
    if isinstance(node, dict):
        own = {str(node["$ref"])} if isinstance(node.get("$ref"), str) else set()
        return own.union(*(references(value) for value in node.values()))
    if isinstance(node, list):
        return set().union(*(references(value) for value in node))
    return set()


def test_every_reference_leads_somewhere() -> None:
    known = {f"#/components/schemas/{name}" for name in DOCUMENT["components"]["schemas"]}
    assert references(DOCUMENT) <= known


def test_answers_have_no_optional_fields() -> None:
    # A generated client then shows every field as always present.
    schemas = DOCUMENT["components"]["schemas"]
    for name, schema in schemas.items():
        if name.endswith("Read"):
            assert sorted(schema.get("required", [])) == sorted(schema["properties"]), name
