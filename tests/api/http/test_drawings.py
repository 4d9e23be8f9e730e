"""Judged by eye and drawn on stills, over HTTP on both databases: kept in the draft, told with the answer."""

from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Answer, Membership, Review, Submission
from api.storage.base import Storage
from api.storage.keys import product_key, still_name
from tests import measured
from tests.api.browsers import Browser

LEVEL, MOVED = measured.LEVEL, measured.LEVEL + 5


@pytest.fixture
def database_url(either_url: str) -> str:
    return either_url


@pytest.fixture
def submission(session: Session, storage: Storage, student: Membership) -> Submission:
    # A left-hander's: what is drawn must stay where it was drawn all the same.
    return measured.make_measured(session, storage, student, handed="left")


@pytest.fixture
def clip_id(submission: Submission) -> str:
    return str(submission.clips[0].id)


@pytest.fixture
def review(coach: Browser, session: Session, submission: Submission) -> dict[str, Any]:
    review_id = session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one()
    session.commit()
    return coach.post(f"/reviews/{review_id}/claim").ok()


def tick(clip_id: str, /, **more: object) -> dict[str, Any]:
    one = {"clip_id": clip_id, "swing": 0, "keyframe": "top", "item": "face", "seen": "closed"}
    return {**one, "words": "", **more}


def arrow(clip_id: str, /, **more: object) -> dict[str, Any]:
    one = {"id": "a1", "clip_id": clip_id, "swing": 0, "keyframe": "lead_arm_parallel"}
    drawn = {"frame": LEVEL, "shape": "arrow", "stroke": "full", "places": [[12.5, 40.0], [700, 9]]}
    return {**one, **drawn, "label": "", **more}


def label(clip_id: str, /, **more: object) -> dict[str, Any]:
    words = {"id": "b1", "shape": "label", "places": [[700.0, 1279.0]], "label": "Here"}
    return arrow(clip_id, **{**words, **more})


def patch(coach: Browser, review: dict[str, Any], **parts: object) -> dict[str, Any]:
    return coach.patch(f"/reviews/{review['id']}/draft", parts, etag=review["version"]).ok()


def send(coach: Browser, review: dict[str, Any], pupil: Browser, **parts: object) -> dict[str, Any]:
    draft = patch(coach, review, text="Turn more.", **parts)
    sent = coach.post(f"/reviews/{review['id']}/send", etag=draft["version"]).ok()
    told = pupil.get(f"/submissions/{sent['submission']['id']}").ok()
    answer: dict[str, Any] = told["answer"]
    return answer


def test_both_stay_in_the_draft_where_they_were_put(
    coach: Browser, review: dict[str, Any], clip_id: str
) -> None:
    drawn, ticked = [arrow(clip_id), label(clip_id)], [tick(clip_id, words="Toe to the sky")]
    patch(coach, review, drawings=drawn, by_eye=ticked)
    kept = coach.get(f"/reviews/{review['id']}").ok()["draft"]
    assert kept["drawings"] == drawn
    assert kept["by_eye"] == ticked


def test_a_part_that_is_not_named_stays(
    coach: Browser, review: dict[str, Any], clip_id: str
) -> None:
    drawn = patch(coach, review, drawings=[arrow(clip_id)], by_eye=[tick(clip_id)])
    later = patch(coach, drawn, text="Words")
    assert later["draft"]["drawings"] == [arrow(clip_id)]
    cleared = patch(coach, later, drawings=[])
    assert cleared["draft"]["drawings"] == []
    assert cleared["draft"]["by_eye"] == [tick(clip_id)]


@pytest.mark.parametrize(
    "wrong",
    [
        {"places": [[0, 0], [720.5, 10]]},
        {"places": [[0, 0], [10, 10], [20, 20]]},
        {"frame": LEVEL + 7},
        {"swing": 1},
        {"stroke": "red"},
        {"shape": "label", "places": [[5, 5]], "label": "x" * 41},
        {"shape": "label", "places": [[5, 5]], "label": "two\nlines"},
        {"shape": "label", "places": [[5, 5]], "label": "  "},
        {"clip_id": "019abf5e-7d3e-7c53-8000-000000000000"},
    ],
)
def test_a_drawing_that_cannot_be_shown_is_refused_and_changes_nothing(
    coach: Browser, review: dict[str, Any], clip_id: str, wrong: dict[str, Any]
) -> None:
    answer = coach.patch(
        f"/reviews/{review['id']}/draft",
        {"drawings": [arrow(clip_id, **wrong)]},
        etag=review["version"],
    )
    assert answer.status_code == 422
    now = coach.get(f"/reviews/{review['id']}").ok()
    assert (now["version"], now["draft"]["drawings"]) == (review["version"], [])


@pytest.mark.parametrize(
    "wrong", [{"seen": "strong"}, {"keyframe": "impact"}, {"swing": 1}, {"words": "x" * 81}]
)
def test_a_tick_that_cannot_be_is_refused(
    coach: Browser, review: dict[str, Any], clip_id: str, wrong: dict[str, Any]
) -> None:
    answer = coach.patch(
        f"/reviews/{review['id']}/draft",
        {"by_eye": [tick(clip_id, **wrong)]},
        etag=review["version"],
    )
    assert answer.status_code == 422


def test_thirteen_on_a_still_are_one_too_many(
    coach: Browser, review: dict[str, Any], clip_id: str
) -> None:
    many = [arrow(clip_id, id=f"a{number}") for number in range(13)]
    refused = coach.patch(
        f"/reviews/{review['id']}/draft", {"drawings": many}, etag=review["version"]
    )
    assert refused.status_code == 422
    patch(coach, review, drawings=many[:12])


def test_no_number_moves(coach: Browser, review: dict[str, Any], clip_id: str) -> None:
    after = patch(coach, review, drawings=[arrow(clip_id)], by_eye=[tick(clip_id)])
    assert after["readings"] == review["readings"]
    assert after["findings"] == review["findings"]


def test_the_student_gets_both_over_the_plain_still(
    coach: Browser, pupil: Browser, review: dict[str, Any], clip_id: str
) -> None:
    answer = send(coach, review, pupil, drawings=[arrow(clip_id)], by_eye=[tick(clip_id)])
    assert answer["drawings"] == [arrow(clip_id)]
    assert answer["by_eye"] == [tick(clip_id)]
    (level,) = [one for one in answer["pictures"] if one["keyframe"] == "lead_arm_parallel"]
    assert (level["frame"], level["lines_drawn"], level["off_moment"]) == (LEVEL, False, False)


def test_a_drawing_stays_on_its_frame_when_the_instant_moves(
    coach: Browser, pupil: Browser, review: dict[str, Any], clip_id: str
) -> None:
    drawn = patch(coach, review, drawings=[arrow(clip_id)])
    place = f"/reviews/{review['id']}/marks/{clip_id}/0/lead_arm_parallel"
    moved = coach.put(place, {"frame": MOVED}, etag=drawn["version"]).ok()
    assert moved["draft"]["drawings"] == [arrow(clip_id)]
    answer = send(coach, moved, pupil)
    level = [one for one in answer["pictures"] if one["keyframe"] == "lead_arm_parallel"]
    assert [(one["frame"], one["off_moment"]) for one in level] == [(MOVED, False), (LEVEL, True)]
    assert answer["drawings"] == [arrow(clip_id)]


def test_what_was_sent_stays_as_it_was_sent(
    coach: Browser, pupil: Browser, session: Session, review: dict[str, Any], clip_id: str
) -> None:
    first = send(coach, review, pupil, drawings=[arrow(clip_id)], by_eye=[tick(clip_id)])
    recalled = coach.post(f"/reviews/{review['id']}/recall").ok()
    assert recalled["draft"]["drawings"] == [arrow(clip_id)]
    second = send(coach, recalled, pupil, drawings=[], by_eye=[])
    assert (second["drawings"], second["by_eye"]) == ([], [])
    numbers = select(Answer).order_by(Answer.number)
    kept = [row.content["drawings"] for row in session.scalars(numbers)]
    assert kept == [first["drawings"], []]


def test_a_drawing_whose_still_is_gone_is_not_promised(
    coach: Browser,
    pupil: Browser,
    storage: Storage,
    review: dict[str, Any],
    clip_id: str,
    submission: Submission,
) -> None:
    key = product_key(submission.clips[0].id, measured.PIPELINE, still_name(LEVEL))
    with storage.local_path(key) as path:
        path.unlink()
    answer = send(coach, review, pupil, drawings=[arrow(clip_id)])
    assert answer["drawings"] == []


def test_an_answer_from_before_has_none(
    coach: Browser, pupil: Browser, session: Session, review: dict[str, Any], submission: Submission
) -> None:
    send(coach, review, pupil)
    row = session.scalars(select(Answer)).one()
    old = {name: kept for name, kept in row.content.items() if name not in {"by_eye", "drawings"}}
    pictures = [
        {name: kept for name, kept in one.items() if name != "off_moment"}
        for one in row.content["pictures"]
    ]
    row.content = {**old, "pictures": pictures}
    session.commit()
    answer = pupil.get(f"/submissions/{submission.id}").ok()["answer"]
    assert (answer["by_eye"], answer["drawings"]) == ([], [])
    assert [one["off_moment"] for one in answer["pictures"]] == [False] * len(pictures)
