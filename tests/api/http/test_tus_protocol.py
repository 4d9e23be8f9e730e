"""The upload server against the published text of tus 1.0.0 (2016-03-25), section by section.

Each test names the section whose words it holds the server to.
"""

import base64
import hashlib
from collections.abc import Callable, Mapping
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime

import httpx2
import pytest
from fastapi.testclient import TestClient
from sqlalchemy.orm import Session

from api.db.models import Membership, Submission
from api.settings import Settings
from tests import factories
from tests.api.tus_client import PIECE, TUS, metadata, offset_of, send

CONTENT = b"hello world"
Opener = Callable[..., httpx2.Response]


@pytest.fixture
def submission(session: Session) -> Submission:
    submission = factories.make_submission(session, factories.make_member(session))
    session.commit()
    return submission


@pytest.fixture
def student(as_member: Callable[[Membership], TestClient], submission: Submission) -> TestClient:
    return as_member(submission.student)


@pytest.fixture
def open_upload(student: TestClient, submission: Submission) -> Opener:
    def create(
        length: int = len(CONTENT), headers: Mapping[str, str] | None = None
    ) -> httpx2.Response:
        given = {
            **TUS,
            "Upload-Length": str(length),
            "Upload-Metadata": metadata(submission_id=submission.id, view="face-on"),
        } | dict(headers or {})
        return student.post("/api/v1/uploads", headers=given)

    return create


@pytest.fixture
def url(open_upload: Opener) -> str:
    return str(open_upload().headers["Location"])


class TestCoreProtocolHeaders:
    def test_tus_resumable_is_in_every_response(self, student: TestClient, url: str) -> None:
        answers = [
            student.head(url, headers=TUS),
            send(student, url, b"hello"),
            send(student, url, b"x", offset=9),
            student.head("/api/v1/uploads/01890000-0000-7000-8000-000000000000", headers=TUS),
            student.head(url),
            student.delete(url, headers=TUS),
        ]
        assert [answer.status_code for answer in answers] == [200, 204, 409, 404, 412, 204]
        assert {answer.headers["Tus-Resumable"] for answer in answers} == {"1.0.0"}

    @pytest.mark.parametrize("version", ["0.2.2", "1.0.1", "2.0.0", "", "nonsense"])
    def test_tus_resumable_another_version_is_412_and_names_ours(
        self, student: TestClient, url: str, version: str
    ) -> None:
        answer = send(student, url, b"hello", headers={"Tus-Resumable": version})
        assert answer.status_code == 412
        assert answer.headers["Tus-Version"] == "1.0.0"
        assert answer.json()["code"] == "unsupported_upload_protocol"
        assert offset_of(student, url) == 0, "the request must not be processed"

    def test_tus_resumable_absent_is_412(self, student: TestClient) -> None:
        answer = student.post("/api/v1/uploads", headers={"Upload-Length": "11"})
        assert answer.status_code == 412

    @pytest.mark.parametrize("value", ["-1", "1.5", "ten", "0x10", "1 0", "", "٣", "9" * 30])
    def test_upload_offset_must_be_a_non_negative_integer(
        self, student: TestClient, url: str, value: str
    ) -> None:
        raw = [(name.encode(), text.encode()) for name, text in PIECE.items()]
        raw.append((b"Upload-Offset", value.encode()))
        answer = student.patch(url, content=b"hello", headers=raw)
        assert answer.status_code == 400
        assert offset_of(student, url) == 0

    @pytest.mark.parametrize("value", ["-1", "1.5", "ten"])
    def test_upload_length_must_be_a_non_negative_integer(
        self, open_upload: Opener, value: str
    ) -> None:
        answer = open_upload(headers={"Upload-Length": value})
        assert answer.status_code == 400
        assert "Upload-Length" in answer.json()["detail"]

    def test_method_override_beats_the_real_method(self, student: TestClient, url: str) -> None:
        headers = {**PIECE, "Upload-Offset": "0", "X-HTTP-Method-Override": "PATCH"}
        assert student.post(url, content=b"hello", headers=headers).status_code == 204
        assert offset_of(student, url) == 5
        gone = student.post(url, headers={**TUS, "X-HTTP-Method-Override": "DELETE"})
        assert gone.status_code == 204
        assert student.head(url, headers=TUS).status_code == 410

    def test_method_override_does_not_slip_past_the_csrf_check(
        self, student: TestClient, url: str
    ) -> None:
        del student.headers["X-CSRF-Token"]
        answer = student.get(url, headers={**TUS, "X-HTTP-Method-Override": "DELETE"})
        assert answer.status_code == 403
        assert offset_of(student, url) == 0


class TestCoreProtocolHead:
    def test_offset_and_length_even_at_zero(self, student: TestClient, url: str) -> None:
        answer = student.head(url, headers=TUS)
        assert answer.status_code == 200
        assert answer.headers["Upload-Offset"] == "0"
        assert answer.headers["Upload-Length"] == "11"

    def test_offset_when_already_complete(self, student: TestClient, url: str) -> None:
        send(student, url, CONTENT)
        answer = student.head(url, headers=TUS)
        assert answer.headers["Upload-Offset"] == answer.headers["Upload-Length"] == "11"

    def test_unknown_resource_has_no_offset(self, student: TestClient) -> None:
        answer = student.head("/api/v1/uploads/01890000-0000-7000-8000-000000000000", headers=TUS)
        assert answer.status_code == 404
        assert "Upload-Offset" not in answer.headers

    def test_response_must_not_be_cached(self, student: TestClient, url: str) -> None:
        assert student.head(url, headers=TUS).headers["Cache-Control"] == "no-store"


class TestCoreProtocolPatch:
    def test_bytes_are_applied_and_acknowledged_with_204(
        self, student: TestClient, url: str
    ) -> None:
        first = send(student, url, b"hello")
        second = send(student, url, b" world", offset=5)
        assert (first.status_code, second.status_code) == (204, 204)
        assert first.headers["Upload-Offset"] == "5"
        assert second.headers["Upload-Offset"] == "11"
        assert first.content == b""

    @pytest.mark.parametrize("content_type", ["application/octet-stream", "text/plain", ""])
    def test_another_content_type_is_415(
        self, student: TestClient, url: str, content_type: str
    ) -> None:
        assert (
            send(student, url, b"hello", headers={"Content-Type": content_type}).status_code == 415
        )
        assert offset_of(student, url) == 0

    @pytest.mark.parametrize("offset", [0, 4, 6, 11])
    def test_another_offset_is_409_and_changes_nothing(
        self, student: TestClient, url: str, offset: int
    ) -> None:
        send(student, url, b"hello")
        answer = send(student, url, b" world", offset=offset)
        assert answer.status_code == 409
        assert answer.json()["code"] == "offset_mismatch"
        assert offset_of(student, url) == 5

    def test_against_a_resource_that_is_not_there_is_404(self, student: TestClient) -> None:
        url = "/api/v1/uploads/01890000-0000-7000-8000-000000000000"
        assert send(student, url, b"hello").status_code == 404

    def test_an_empty_piece_is_fine(self, student: TestClient, url: str) -> None:
        answer = send(student, url, b"")
        assert answer.status_code == 204
        assert answer.headers["Upload-Offset"] == "0"

    def test_the_empty_piece_after_the_end_repeats_the_acknowledgement(
        self, student: TestClient, url: str
    ) -> None:
        clip = send(student, url, CONTENT).headers["Fairlead-Clip-Id"]
        again = send(student, url, b"", offset=11)
        assert again.status_code == 204
        assert again.headers["Upload-Offset"] == "11"
        assert again.headers["Fairlead-Clip-Id"] == clip


class TestCoreProtocolOptions:
    def test_capabilities(self, client: TestClient, settings: Settings) -> None:
        answer = client.options("/api/v1/uploads", headers={"Tus-Resumable": "0.0.1"})
        assert answer.status_code == 204, "Tus-Resumable must be ignored here"
        assert answer.headers["Tus-Version"] == "1.0.0"
        assert set(answer.headers["Tus-Extension"].split(",")) == {
            "creation",
            "creation-with-upload",
            "termination",
            "checksum",
            "expiration",
        }
        assert answer.headers["Tus-Max-Size"] == str(settings.upload_max_bytes)


class TestCreation:
    def test_201_with_location(self, student: TestClient, open_upload: Opener) -> None:
        answer = open_upload()
        assert answer.status_code == 201
        assert offset_of(student, answer.headers["Location"]) == 0

    def test_one_of_length_and_defer_length_is_needed(
        self, student: TestClient, submission: Submission
    ) -> None:
        header = {"Upload-Metadata": metadata(submission_id=submission.id, view="face-on")}
        answer = student.post("/api/v1/uploads", headers={**TUS, **header})
        assert answer.status_code == 400
        assert "Upload-Length" in answer.json()["detail"]

    def test_deferred_length_is_not_announced_and_refused(
        self, student: TestClient, submission: Submission
    ) -> None:
        header = {"Upload-Metadata": metadata(submission_id=submission.id, view="face-on")}
        answer = student.post(
            "/api/v1/uploads", headers={**TUS, **header, "Upload-Defer-Length": "1"}
        )
        assert answer.status_code == 400

    def test_longer_than_the_maximum_is_413(self, open_upload: Opener, settings: Settings) -> None:
        answer = open_upload(settings.upload_max_bytes + 1)
        assert answer.status_code == 413
        assert answer.json()["code"] == "too_large"

    def test_metadata_comes_back_unchanged_on_head(
        self,
        student: TestClient,
        submission: Submission,
        open_upload: Opener,
    ) -> None:
        header = metadata(submission_id=submission.id, view="face-on", filename="Schwung ü.mp4")
        header += ",is_confidential"
        url = open_upload(headers={"Upload-Metadata": header}).headers["Location"]
        assert student.head(url, headers=TUS).headers["Upload-Metadata"] == header

    @pytest.mark.parametrize(
        ("header", "said"),
        [
            ("view !!!!", "not Base64"),
            ("view ZmFjZS1vbg", "not Base64"),
            ("view ZmFjZS1vbg==,view ZmFjZS1vbg==", "twice"),
            ("view /w==", "not Base64 text"),
            ("filename DQpTZXQtQ29va2llOiBh", "cannot be shown"),
        ],
    )
    def test_metadata_that_cannot_be_read_is_400_and_says_why(
        self, open_upload: Opener, header: str, said: str
    ) -> None:
        answer = open_upload(headers={"Upload-Metadata": header})
        assert answer.status_code == 400
        assert said in answer.json()["detail"]


class TestCreationWithUpload:
    def test_first_piece_in_the_creation_request(
        self,
        student: TestClient,
        submission: Submission,
    ) -> None:
        answer = student.post(
            "/api/v1/uploads",
            content=b"hello",
            headers={
                **PIECE,
                "Upload-Length": "11",
                "Upload-Metadata": metadata(submission_id=submission.id, view="face-on"),
            },
        )
        assert answer.status_code == 201
        assert answer.headers["Upload-Offset"] == "5"
        assert offset_of(student, answer.headers["Location"]) == 5

    def test_the_body_must_be_labelled(self, student: TestClient, submission: Submission) -> None:
        answer = student.post(
            "/api/v1/uploads",
            content=b"hello",
            headers={
                **TUS,
                "Content-Type": "video/mp4",
                "Upload-Length": "11",
                "Upload-Metadata": metadata(submission_id=submission.id, view="face-on"),
            },
        )
        assert answer.status_code == 415


class TestExpiration:
    def test_upload_expires_at_creation_and_after_every_patch(
        self,
        student: TestClient,
        settings: Settings,
        open_upload: Opener,
    ) -> None:
        created = open_upload()
        patched = send(student, created.headers["Location"], b"hello")
        for answer in (created, patched):
            expires = parsedate_to_datetime(answer.headers["Upload-Expires"])
            left = expires - datetime.now(UTC)
            assert abs(left - settings.upload_expires_after).total_seconds() < 60
            assert answer.headers["Upload-Expires"].endswith(" GMT")  # RFC 7231, 7.1.1.1

    def test_resuming_after_expiry_is_410(
        self, student: TestClient, session: Session, submission: Submission
    ) -> None:
        upload = factories.make_upload(session, submission, expires_at=datetime.now(UTC))
        session.commit()
        url = f"/api/v1/uploads/{upload.id}"
        assert send(student, url, b"hello").status_code == 410
        assert student.head(url, headers=TUS).status_code == 410


class TestChecksum:
    # The digest of the protocol text's own example.
    EXAMPLE = "sha1 Kq5sNclPz7QV2+lfQIuc6R7oRu0="

    def test_the_example_of_the_text(self, student: TestClient, url: str) -> None:
        answer = send(student, url, b"hello world", headers={"Upload-Checksum": self.EXAMPLE})
        assert answer.status_code == 204
        assert answer.headers["Upload-Offset"] == "11"

    def test_sha256_too(self, student: TestClient, url: str) -> None:
        digest = base64.b64encode(hashlib.sha256(b"hello").digest()).decode()
        answer = send(student, url, b"hello", headers={"Upload-Checksum": f"sha256 {digest}"})
        assert answer.status_code == 204

    def test_mismatch_is_460_and_the_piece_is_discarded(
        self, student: TestClient, url: str
    ) -> None:
        send(student, url, b"hello")
        answer = send(student, url, b" warld", offset=5, headers={"Upload-Checksum": self.EXAMPLE})
        assert answer.status_code == 460
        assert answer.json()["code"] == "checksum_mismatch"
        assert offset_of(student, url) == 5

    @pytest.mark.parametrize("header", ["md5 XUFAKrxLKna5cZ2REBfFkg==", "SHA1 aaaa", "nothing"])
    def test_an_algorithm_we_do_not_have_is_400_and_the_piece_is_discarded(
        self, student: TestClient, url: str, header: str
    ) -> None:
        answer = send(student, url, b"hello", headers={"Upload-Checksum": header})
        assert answer.status_code == 400
        assert offset_of(student, url) == 0

    def test_sha1_is_among_the_algorithms_and_names_are_lower_case(
        self, client: TestClient
    ) -> None:
        names = client.options("/api/v1/uploads").headers["Tus-Checksum-Algorithm"].split(",")
        assert "sha1" in names
        assert all(name.isascii() and name == name.lower() for name in names)


class TestTermination:
    def test_204_and_gone_afterwards(
        self, student: TestClient, settings: Settings, url: str
    ) -> None:
        send(student, url, b"hello")
        assert student.delete(url, headers=TUS).status_code == 204
        assert student.head(url, headers=TUS).status_code == 410
        assert send(student, url, b" world", offset=5).status_code == 410
        assert list(settings.uploads_dir.iterdir()) == [], "resources must be freed"

    def test_one_that_became_a_clip_is_kept(self, student: TestClient, url: str) -> None:
        """Our one deviation: the text asks for 204; a late tap must not lose a received clip."""
        send(student, url, CONTENT)
        answer = student.delete(url, headers=TUS)
        assert answer.status_code == 409
        assert answer.json()["code"] == "already_received"
        assert offset_of(student, url) == 11
