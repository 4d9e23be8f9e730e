"""The sender's side of the upload protocol, for tests."""

import base64
from collections.abc import Mapping
from uuid import UUID

import httpx2
from fastapi.testclient import TestClient

TUS = {"Tus-Resumable": "1.0.0"}
PIECE = {**TUS, "Content-Type": "application/offset+octet-stream"}


def metadata(**values: object) -> str:
    return ",".join(
        f"{key} {base64.b64encode(str(value).encode()).decode()}" for key, value in values.items()
    )


def opened(
    client: TestClient, submission_id: UUID | str, length: int, view: str = "face-on"
) -> httpx2.Response:
    about = metadata(submission_id=submission_id, view=view, filename="swing.mp4")
    headers = {**TUS, "Upload-Length": str(length), "Upload-Metadata": about}
    return client.post("/api/v1/uploads", headers=headers)


def send(
    client: TestClient,
    url: str,
    data: bytes,
    offset: int = 0,
    headers: Mapping[str, str] | None = None,
) -> httpx2.Response:
    given = {**PIECE, "Upload-Offset": str(offset), **(headers or {})}
    return client.patch(url, content=data, headers=given)


def offset_of(client: TestClient, url: str) -> int:
    return int(client.head(url, headers=TUS).headers["Upload-Offset"])
