"""Media links and byte ranges (RFC 9110, sections 14 and 15.5.17)."""

from datetime import UTC, datetime, timedelta
from urllib.parse import parse_qs, urlencode, urlsplit

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from pydantic import SecretStr
from sqlalchemy.orm import Session

from api.domain.names import Role
from api.http.media import RangeNotThere, Span, parse_range
from api.settings import Settings
from api.storage.base import Storage
from api.storage.factory import link_signer
from api.storage.links import LinkSigner
from tests import factories, measured
from tests.api.browsers import open_browser

KEY = "clips/019abf5e-7d3e-7c53-8000-000000000000/v1/proxy.mp4"
CONTENT = bytes(range(256)) * 8


@pytest.fixture
def storage(app: FastAPI, client: TestClient) -> Storage:
    stored: Storage = app.state.storage
    stored.put_bytes(KEY, CONTENT)
    return stored


@pytest.fixture
def signer(settings: Settings) -> LinkSigner:
    return link_signer(settings)


@pytest.fixture
def url(signer: LinkSigner, storage: Storage) -> str:
    return signer.link(KEY)


def changed(url: str, **values: str) -> str:
    parts = urlsplit(url)
    query = {name: found[0] for name, found in parse_qs(parts.query).items()} | values
    return f"{parts.path}?{urlencode(query)}"


class TestLinks:
    def test_a_link_gives_the_thing_and_nothing_may_share_it(
        self, client: TestClient, url: str
    ) -> None:
        answer = client.get(url)
        assert (answer.status_code, answer.content) == (200, CONTENT)
        assert answer.headers["Content-Type"] == "video/mp4"
        assert answer.headers["Cache-Control"].startswith("private")
        assert answer.headers["X-Content-Type-Options"] == "nosniff"

    @pytest.mark.parametrize("signature", ["", "0" * 64, "é", "A" * 100])
    def test_forged(self, client: TestClient, url: str, signature: str) -> None:
        assert client.get(changed(url, signature=signature)).status_code == 404

    @pytest.mark.parametrize("expires", ["", "0", "99999999999", "1e9", "-1", "\u0661"])
    def test_altered_expiry(self, client: TestClient, url: str, expires: str) -> None:
        assert client.get(changed(url, expires=expires)).status_code == 404

    def test_of_another_key(self, client: TestClient, storage: Storage, url: str) -> None:
        other = KEY.replace("v1", "v2")
        storage.put_bytes(other, b"theirs")
        assert client.get(url.replace("/v1/", "/v2/", 2)).status_code == 404

    def test_made_with_another_secret(
        self, client: TestClient, settings: Settings, storage: Storage
    ) -> None:
        stranger = settings.model_copy(update={"secret": SecretStr("another secret")})
        assert client.get(link_signer(stranger).link(KEY)).status_code == 404

    def test_ended(self, client: TestClient, signer: LinkSigner, storage: Storage) -> None:
        old = signer.link(KEY, now=datetime.now(UTC) - timedelta(hours=2))
        answer = client.get(old)
        assert (answer.status_code, answer.json()["code"]) == (410, "link_spent")

    def test_lasts_as_long_as_promised(self, signer: LinkSigner) -> None:
        now = datetime(2026, 11, 25, 10, 7, 31, tzinfo=UTC)
        expires = int(parse_qs(urlsplit(signer.link(KEY, now=now)).query)["expires"][0])
        left = datetime.fromtimestamp(expires, UTC) - now
        assert timedelta(hours=1) <= left <= timedelta(hours=1, minutes=30)

    def test_is_the_same_for_a_while_so_that_a_page_need_not_load_again(
        self, signer: LinkSigner
    ) -> None:
        now = datetime(2026, 11, 25, 10, 7, tzinfo=UTC)
        assert signer.link(KEY, now=now) == signer.link(KEY, now=now + timedelta(minutes=10))

    @pytest.mark.parametrize(
        "key", ["../fairlead.sqlite3", "clips/../../secret", "/etc/passwd", "clips//x", ".hidden"]
    )
    def test_no_link_leads_out_of_the_store(self, signer: LinkSigner, key: str) -> None:
        with pytest.raises(ValueError, match="Not a storage key"):
            signer.link(key)

    def test_a_deleted_thing_is_404(self, client: TestClient, storage: Storage, url: str) -> None:
        storage.delete_prefix(KEY.rpartition("/v1/")[0])
        assert client.get(url).status_code == 404

    def test_the_original_is_saved_never_shown(
        self, client: TestClient, storage: Storage, signer: LinkSigner
    ) -> None:
        key = KEY.replace("v1/proxy.mp4", "original")
        storage.put_bytes(key, b"<html><script>alert(1)</script>")
        answer = client.get(signer.link(key))
        assert answer.headers["Content-Disposition"] == "attachment"
        assert answer.headers["Content-Type"] == "application/octet-stream"


class TestRanges:
    @pytest.mark.parametrize(
        ("asked", "start", "end"),
        [
            ("bytes=0-0", 0, 0),
            ("bytes=0-99", 0, 99),
            ("bytes=100-", 100, 2047),
            ("bytes=-100", 1948, 2047),
            ("bytes=2000-9999", 2000, 2047),
            ("bytes=-9999", 0, 2047),
            ("bytes=2047-2047", 2047, 2047),
        ],
    )
    def test_206_with_exactly_those_bytes(
        self, client: TestClient, url: str, asked: str, start: int, end: int
    ) -> None:
        answer = client.get(url, headers={"Range": asked})
        assert answer.status_code == 206
        assert answer.content == CONTENT[start : end + 1]
        assert answer.headers["Content-Range"] == f"bytes {start}-{end}/2048"
        assert answer.headers["Content-Length"] == str(end - start + 1)

    @pytest.mark.parametrize("asked", ["bytes=2048-", "bytes=9999-10000", "bytes=-0"])
    def test_416_says_how_much_there_is(self, client: TestClient, url: str, asked: str) -> None:
        answer = client.get(url, headers={"Range": asked})
        assert answer.status_code == 416
        assert answer.headers["Content-Range"] == "bytes */2048"

    @pytest.mark.parametrize(
        "asked",
        [
            "lines=0-9",
            "bytes=9-0",
            "bytes=a-b",
            "bytes=0-1,5-6",
            "bytes=-",
            "bytes",
            "",
            f"bytes={'9' * 5000}-",  # once a 500: Python reads no number of more than 4300 digits
        ],
    )
    def test_what_cannot_be_read_is_ignored(self, client: TestClient, url: str, asked: str) -> None:
        answer = client.get(url, headers={"Range": asked})
        assert (answer.status_code, answer.content) == (200, CONTENT)
        assert answer.headers["Accept-Ranges"] == "bytes"

    def test_if_range_gets_everything(self, client: TestClient, url: str) -> None:
        headers = {"Range": "bytes=0-1", "If-Range": '"something"'}
        assert client.get(url, headers=headers).status_code == 200

    @pytest.mark.parametrize(("asked", "status"), [(None, 200), ("bytes=5-9", 206)])
    def test_head_says_the_same_without_the_bytes(
        self, client: TestClient, url: str, asked: str | None, status: int
    ) -> None:
        headers = {} if asked is None else {"Range": asked}
        head, get = client.head(url, headers=headers), client.get(url, headers=headers)
        assert head.status_code == get.status_code == status
        assert head.content == b""
        for name in ("Content-Length", "Content-Type", "Accept-Ranges", "Cache-Control"):
            assert head.headers[name] == get.headers[name]

    def test_an_empty_thing(self) -> None:
        with pytest.raises(RangeNotThere):
            parse_range("bytes=0-", 0)
        assert parse_range(None, 0) is None

    def test_every_span_lies_inside(self) -> None:
        for size in (1, 2, 10):
            for first in range(12):
                for last in range(12):
                    try:
                        span = parse_range(f"bytes={first}-{last}", size)
                    except RangeNotThere:
                        assert first >= size
                        continue
                    assert span is None or span == Span(first, min(last, size - 1))


def test_links_of_a_clip_work_and_an_admin_gets_none(
    app: FastAPI, session: Session, storage: Storage
) -> None:
    student = factories.make_member(session)
    submission = measured.make_measured(session, storage, student)
    own = open_browser(app, session, student)
    media = own.get(f"/submissions/{submission.id}").ok()["clips"][0]["media"]
    assert set(media["annotated"]) == {"lead_arm_parallel"}
    assert set(media["frames"]) == {"20", "60", "65", "75"}
    assert own.client.get(media["proxy"]).status_code == 200
    admin = factories.make_member(session, Role.ADMIN, academy=student.academy)
    seen = open_browser(app, session, admin).get(f"/submissions/{submission.id}").ok()
    assert (seen["clips"][0]["media"], seen["clips"][0]["measurement"]) == (None, None)
