"""The built pages as files, health, readiness and numbers."""

import gzip
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from api.http.app import create_app
from api.http.pages import PAGES
from api.settings import Settings


@pytest.fixture
def dist(settings: Settings) -> Path:
    """Pages as the build leaves them."""
    for name in ("", *PAGES):
        (settings.web_dist / name).mkdir(parents=True, exist_ok=True)
        (settings.web_dist / name / "index.html").write_text(
            f"<!doctype html>page {name or 'start'}"
        )
    (settings.web_dist / "assets").mkdir()
    (settings.web_dist / "assets" / "student-Ab12.js").write_text("export {};")
    (settings.web_dist / "assets" / "student-Ab12.css").write_text("p{}")
    return settings.web_dist


@pytest.mark.usefixtures("dist")
@pytest.mark.parametrize("path", ["/sign-in", "/student/", "/student", "/desk/", "/office/"])
def test_pages_are_html_and_always_asked_for_again(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 200
    assert answer.text == f"<!doctype html>page {path.strip('/')}"
    assert answer.headers["Content-Type"].startswith("text/html")
    assert answer.headers["Cache-Control"] == "no-cache"
    again = client.get(path, headers={"If-None-Match": answer.headers["ETag"]})
    assert again.status_code in {200, 304}
    assert client.head(path).status_code == 200


@pytest.mark.usefixtures("dist")
def test_the_start_page_is_at_the_root(client: TestClient) -> None:
    assert client.get("/").text == "<!doctype html>page start"


@pytest.mark.usefixtures("dist")
@pytest.mark.parametrize(
    ("name", "kind"), [("student-Ab12.js", "text/javascript"), ("student-Ab12.css", "text/css")]
)
def test_assets_are_kept_for_ever(client: TestClient, name: str, kind: str) -> None:
    answer = client.get(f"/assets/{name}")
    assert answer.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert answer.headers["Content-Type"].startswith(kind)


@pytest.mark.parametrize(
    ("taken", "sent"),
    [
        ("gzip", "gzip"),
        ("br, GZIP;q=0.5", "gzip"),
        ("br", None),
        ("gzip;q=0", None),
        ("identity", None),
    ],
)
def test_an_asset_goes_out_packed_to_who_takes_it(
    client: TestClient, dist: Path, taken: str, sent: str | None
) -> None:
    script = "export const sentence = 'again and again';\n" * 50
    (dist / "assets" / "long-Ab12.js").write_text(script)
    (dist / "assets" / "long-Ab12.js.gz").write_bytes(gzip.compress(script.encode()))
    answer = client.get("/assets/long-Ab12.js", headers={"Accept-Encoding": taken})
    assert answer.text == script
    assert answer.headers.get("Content-Encoding") == sent
    assert answer.headers["Vary"] == "Accept-Encoding"
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert answer.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert (int(answer.headers["Content-Length"]) < len(script)) is (sent is not None)


def test_only_a_web_worker_may_compile_webassembly(client: TestClient, dist: Path) -> None:
    (dist / "assets" / "workers").mkdir()
    for name in ("workers/body-Ab12.js", "runtime-Ab12.wasm"):
        (dist / "assets" / name).write_text("x")
    policy = client.get("/assets/workers/body-Ab12.js").headers["Content-Security-Policy"]
    assert "script-src 'self' 'wasm-unsafe-eval';" in policy
    assert "default-src 'none'" in policy
    for other in ("/student/", "/assets/student-Ab12.js", "/assets/runtime-Ab12.wasm"):
        assert "wasm" not in client.get(other).headers["Content-Security-Policy"]
    assert client.get("/assets/runtime-Ab12.wasm").headers["Content-Type"] == "application/wasm"


@pytest.mark.parametrize(
    "path",
    [
        "/assets/nothing.js",
        "/assets/../student/index.html",
        "/assets/..%2f..%2fsecret.txt",
        "/assets/%2e%2e/%2e%2e/secret.txt",
        "/assets//etc/passwd",
        "/assets/%00",  # this and the next were once a 500
        f"/assets/{'a' * 300}",
        "/assets/",
        "/secret.txt",
        "/robots.txt",
    ],
)
def test_nothing_beside_the_pages_is_served(client: TestClient, dist: Path, path: str) -> None:
    (dist.parent / "secret.txt").write_text("secret")
    (dist / "secret.txt").write_text("secret")
    answer = client.get(path)
    assert answer.status_code == 404
    assert "secret" not in answer.text.replace("secret.txt", "")


@pytest.mark.usefixtures("dist")
def test_the_outbox_page_is_there_in_the_demo_only(settings: Settings, client: TestClient) -> None:
    assert client.get("/outbox").status_code == 404
    with TestClient(create_app(settings.model_copy(update={"demo_outbox": True}))) as demo:
        assert demo.get("/outbox").text == "<!doctype html>page outbox"


@pytest.mark.parametrize("path", ["/", "/student/", "/sign-in"])
def test_without_built_pages_it_says_so_in_plain_words(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 503
    assert answer.headers["Content-Type"].startswith("text/plain")
    assert "have not been built yet" in answer.text
    assert "make demo" in answer.text


def test_it_is_alive_and_ready(client: TestClient) -> None:
    assert client.get("/healthz").text == "ok\n"
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (200, {"database": "ok", "storage": "ok"})


def test_it_is_not_ready_without_storage(
    app: FastAPI, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_key: str, _data: bytes) -> None:
        raise OSError("No space left on device")

    monkeypatch.setattr(app.state.storage, "put_bytes", full)
    answer = client.get("/readyz")
    assert (answer.status_code, answer.json()) == (503, {"database": "ok", "storage": "failing"})
    assert client.get("/healthz").status_code == 200


def test_it_is_not_ready_without_its_database(settings: Settings, tmp_path: Path) -> None:
    nowhere = settings.model_copy(
        update={"database_url": "postgresql://fairlead@127.0.0.1:1/nothing"}
    )
    with TestClient(create_app(nowhere)) as client:
        answer = client.get("/readyz")
    assert (answer.status_code, answer.json()["database"]) == (503, "failing")


def test_numbers_count_requests_by_route_and_jobs_by_state(client: TestClient) -> None:
    for code in ("a", "b"):
        client.get(f"/api/v1/problems/{code}")
    client.request("BREW", "/")
    numbers = client.get("/metrics").text
    assert (
        'fairlead_http_requests_total{method="GET",route="/api/v1/problems/{code}",status="404"} 2.0'
        in numbers
    )
    assert 'method="other"' in numbers
    assert "BREW" not in numbers
    assert 'fairlead_jobs{state="failed"} 0.0' in numbers


def test_numbers_are_for_neighbours_only(app: FastAPI) -> None:
    for host, status in (("127.0.0.1", 200), ("10.1.2.3", 200), ("8.8.8.8", 404), ("x", 404)):
        with TestClient(app, client=(host, 50000)) as client:
            assert client.get("/metrics").status_code == status


@pytest.mark.usefixtures("dist")
def test_a_share_that_no_service_worker_took_leads_to_choosing_by_hand(client: TestClient) -> None:
    """Nothing of it is kept: it came without the page's protection."""
    sent = client.post("/student/share", files={"clip": b"x"}, follow_redirects=False)
    assert (sent.status_code, sent.headers["location"]) == (303, "/student/#/new/not-shared")


def test_the_service_worker_is_asked_for_anew_each_time(client: TestClient, dist: Path) -> None:
    (dist / "offline.js").write_text("//")
    found = client.get("/offline.js")
    assert found.headers["cache-control"] == "no-cache"
    assert found.headers["content-type"].startswith("text/javascript")
