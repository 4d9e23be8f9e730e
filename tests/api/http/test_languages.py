"""The language a student reads: chosen by them, told to their coach, and no picture in another's numbers."""

import json

import pytest
from fastapi import FastAPI
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Academy, Membership, Review, Submission
from api.domain.names import Role
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser


@pytest.fixture
def submission(session: Session, storage: Storage, student: Membership) -> Submission:
    made = measured.make_measured(session, storage, student)
    session.commit()
    return made


def told(coach: Browser, submission: Submission) -> str:
    """What the coach is told the student reads."""
    language: str = coach.get(f"/submissions/{submission.id}").ok()["student"]["language"]
    return language


def test_a_student_sets_it_and_takes_the_academys_again(
    session: Session, academy: Academy, pupil: Browser, coach: Browser, submission: Submission
) -> None:
    academy.language = "fr-CA"
    session.commit()
    assert pupil.get("/me").ok()["language"] is None
    assert told(coach, submission) == "fr-CA"
    changed = pupil.patch("/me", {"language": "AR-eg"}).ok()
    assert (changed["language"], changed["active"]["language"]) == ("ar-EG", "fr-CA")
    assert told(coach, submission) == "ar-EG"
    assert pupil.patch("/me", {"handed": "left"}).ok()["language"] == "ar-EG"
    assert pupil.patch("/me", {"language": None}).ok()["language"] is None
    assert told(coach, submission) == "fr-CA"


@pytest.mark.parametrize("language", ["german", "de_AT", "de-", "", 7, "x" * 36])
def test_what_is_no_tag_is_refused_and_changes_nothing(pupil: Browser, language: object) -> None:
    pupil.patch("/me", {"language": "de"}).ok()
    refused = pupil.patch("/me", {"language": language})
    assert refused.status_code == 422
    assert "language" in json.dumps(refused.json())
    assert pupil.get("/me").ok()["language"] == "de"


@pytest.mark.parametrize(
    ("language", "as_written"), [("en-IE", True), ("de", False), ("ar-EG", False)]
)
def test_pictures_with_numbers_written_on_them_go_to_who_writes_them_so(
    session: Session,
    pupil: Browser,
    coach: Browser,
    submission: Submission,
    language: str,
    as_written: bool,  # noqa: FBT001 - a column of cases
) -> None:
    pupil.patch("/me", {"language": language}).ok()
    url = f"/reviews/{session.scalars(select(Review.id)).one()}"
    session.commit()
    claimed = coach.post(f"{url}/claim").ok()
    drafted = coach.patch(f"{url}/draft", {"text": "Stop."}, etag=claimed["version"]).ok()
    coach.post(f"{url}/send", etag=drafted["version"]).ok()
    pictures = pupil.get(f"/submissions/{submission.id}").ok()["answer"]["pictures"]
    assert pictures
    assert {picture["lines_drawn"] for picture in pictures} == {as_written}


def test_the_office_sets_what_who_chose_none_reads(
    app: FastAPI, session: Session, academy: Academy, pupil: Browser
) -> None:
    office = open_browser(app, session, factories.make_member(session, Role.ADMIN, academy=academy))
    assert office.get("/academy").ok()["language"] == "en-GB"
    assert office.patch("/academy", {"language": "PT-br"}).ok()["language"] == "pt-BR"
    assert pupil.get("/me").ok()["active"]["language"] == "pt-BR"
    assert office.patch("/academy", {"age_limit": 16}).ok()["language"] == "pt-BR"
    assert office.patch("/academy", {"language": "Portuguese"}).status_code == 422
