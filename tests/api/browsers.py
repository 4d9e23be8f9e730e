"""Several signed-in callers of one app at once, each with its own cookies."""

from dataclasses import dataclass
from typing import Any

import httpx2
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy.orm import Session

from api.db.models import Membership
from api.http.deps import CSRF_HEADER, SESSION_COOKIE
from tests import factories

BASE_URL = "http://fairlead.test"


class Answered:
    """A response that must be what the test expects."""

    def __init__(self, response: httpx2.Response) -> None:
        self.status_code = response.status_code
        self.headers = response.headers
        self.text = response.text
        self.content = response.content
        self._response = response

    def json(self) -> dict[str, Any]:
        body: dict[str, Any] = self._response.json()
        return body

    def ok(self) -> dict[str, Any]:
        """The body of a success; anything else fails the test with what was said."""
        assert self.status_code < 300, f"{self.status_code}: {self.text}"
        return self.json()


@dataclass(frozen=True)
class Browser:
    """A caller. Paths are below /api/v1; ``etag`` becomes If-Match, ``key`` Idempotency-Key."""

    client: TestClient

    def get(self, path: str, *, headers: dict[str, str] | None = None) -> Answered:
        return Answered(self.client.get(f"/api/v1{path}", headers=headers))

    def post(
        self,
        path: str,
        body: object = None,
        *,
        etag: int | None = None,
        key: str | None = None,
    ) -> Answered:
        return self._send("POST", path, body, etag, key)

    def put(self, path: str, body: object, *, etag: int | None = None) -> Answered:
        return self._send("PUT", path, body, etag, None)

    def patch(self, path: str, body: object, *, etag: int | None = None) -> Answered:
        return self._send("PATCH", path, body, etag, None)

    def delete(self, path: str, *, etag: int | None = None) -> Answered:
        return self._send("DELETE", path, None, etag, None)

    def _send(
        self, method: str, path: str, body: object, etag: int | None, key: str | None
    ) -> Answered:
        headers = {} if etag is None else {"If-Match": f'"{etag}"'}
        if key is not None:
            headers["Idempotency-Key"] = key
        return Answered(
            self.client.request(
                method,
                f"/api/v1{path}",
                json=body if body is not None else None,
                headers=headers,
            )
        )


def open_browser(app: FastAPI, session: Session, member: Membership) -> Browser:
    """Sign a member in; the app must be running (ask for the ``client`` fixture)."""
    signed_in = factories.make_session(session, member)
    session.commit()
    client = TestClient(
        app, base_url=BASE_URL, follow_redirects=False, raise_server_exceptions=False
    )
    client.cookies.set(SESSION_COOKIE, signed_in.cookie)
    client.headers[CSRF_HEADER] = signed_in.csrf_token
    return Browser(client)
