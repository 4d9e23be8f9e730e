"""A copy of everything, and its erasure: nothing of the person is left anywhere, however it was interrupted."""

import io
import json
import sqlite3
import threading
import zipfile
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from uuid import UUID

import pytest
import sqlalchemy as sa
from sqlalchemy import Engine, select
from sqlalchemy.orm import Session, sessionmaker

from api.db import migrate, rows_of
from api.db.audit import record
from api.db.base import Base, utc_now
from api.db.consents import standing_of
from api.db.exports import data_of
from api.db.jobs import Claim
from api.db.models import (
    Answer,
    Club,
    ConsentRecord,
    DataExport,
    Erasure,
    IdempotencyKey,
    Invitation,
    Job,
    Mail,
    Membership,
    NoticeChoices,
    Person,
    Reading,
    Review,
    SignInLink,
    Submission,
)
from api.db.rows_of import KEPT, OF_THE_PERSON, THEIRS, references_to
from api.db.session import make_engine, make_session_factory, transaction
from api.domain.consent import Consent
from api.domain.errors import Conflict
from api.domain.names import Role
from api.domain.secrets import digest
from api.domain.tasks import TaskName
from api.services import consents, own_data
from api.services.answers import Sending, send_answer
from api.services.reviews import Desk, DraftParts, change_draft, claim
from api.settings import Settings
from api.storage.base import Storage
from api.storage.factory import open_storage
from api.storage.keys import export_key, original_key
from api.storage.uploads import UploadShelf
from tests import factories, measured
from worker.holding import Holding
from worker.runner import Runner
from worker.tasks.erase_person import ErasePerson
from worker.tasks.registry import all_tasks

NAME, EMAIL = "Quintessa Ombersley", "quintessa@ombersley.example"
FILM = b"FILM-OF-QUINTESSA-0123456789" * 64
WORDS = "Quintessa, keep the left arm long."
NOTE = "My knee hurts since Tuesday, says Ombersley."


@pytest.fixture(params=["sqlite", "postgresql"])
def settings(request: pytest.FixtureRequest, tmp_path: Path) -> Settings:
    url = f"sqlite:///{tmp_path / 'fairlead.sqlite3'}"
    if request.param == "postgresql":
        url = str(request.getfixturevalue("new_postgres_url"))
    migrate.upgrade(url)
    return Settings(
        data_dir=tmp_path / "var",
        database_url=url,
        job_lease=timedelta(seconds=5),
        job_retry_after=timedelta(0),
        erasure_grace=timedelta(days=2),
    )


@pytest.fixture
def engine(settings: Settings) -> Iterator[Engine]:
    engine = make_engine(settings.effective_database_url)
    yield engine
    engine.dispose()


@pytest.fixture
def factory(engine: Engine) -> sessionmaker[Session]:
    return make_session_factory(engine)


@pytest.fixture
def storage(settings: Settings) -> Storage:
    return open_storage(settings)


@pytest.fixture
def runner(settings: Settings, factory: sessionmaker[Session], storage: Storage) -> Runner:
    tasks = all_tasks(settings, factory, storage)
    return Runner(settings, factory, tasks, "here:1", threading.Event())


@pytest.fixture
def student(factory: sessionmaker[Session], settings: Settings, storage: Storage) -> Membership:
    """Somebody with everything: an answer, a clip being worked on, an upload on its way, mails, links, a copy."""
    with factory() as session:
        person = factories.make_person(session, name=NAME, email=EMAIL)
        member = factories.make_member(session, person=person)
        coach = factories.make_member(session, Role.COACH, academy=member.academy)
        admin = factories.make_member(session, Role.ADMIN, academy=member.academy)
        factories.make_club(session, person, name="Ombersley's 7 iron")
        factories.make_bands(session, member, coach)
        factories.make_session(session, member)
        factories.make_token(session, member)
        answered = measured.make_measured(session, storage, member, note=NOTE)
        storage.put_bytes(original_key(answered.clips[0].id), FILM)
        desk = Desk(session, factories.actor_of(coach), utc_now(), timedelta(minutes=30))
        review_id = session.scalars(
            select(Review.id).where(Review.submission_id == answered.id)
        ).one()
        claim(desk, review_id)
        change_draft(desk, review_id, None, DraftParts(text=WORDS))
        send_answer(
            desk, review_id, None, Sending(storage, settings.base_url, b"secret of the tests")
        )
        under_work = measured.make_measured(session, storage, member, note=NOTE)
        claim(
            desk,
            session.scalars(select(Review.id).where(Review.submission_id == under_work.id)).one(),
        )
        arriving = factories.make_submission(session, member, note=NOTE)
        upload = factories.make_upload(session, arriving, filename="quintessa.mp4")
        shelf = UploadShelf(settings.uploads_dir, storage)
        shelf.create(upload.id)
        with shelf.writing(upload.id) as part:
            part.append(FILM)
            part.sync()
        chosen = NoticeChoices(membership_id=member.id, quiet_from="22:00", quiet_to="07:00")
        chosen.mail_off = ["replied"]
        session.add(chosen)
        session.add(
            SignInLink(
                person_id=person.id,
                token_sha256=digest("x"),
                expires_at=utc_now() + timedelta(days=1),
            )
        )
        session.add(
            Invitation(
                academy_id=member.academy_id,
                email=EMAIL,
                name=NAME,
                role="student",
                token_sha256=digest("y"),
                expires_at=utc_now(),
                accepted_at=utc_now(),
            )
        )
        session.add(
            IdempotencyKey(
                membership_id=admin.id,
                route="POST /invitations",
                key="k",
                request_sha256="0" * 64,
                status=201,
                response={"email": EMAIL, "name": NAME},
            )
        )
        own_data.ask_export(session, factories.actor_of(member), member.id)
        session.commit()
        return member


def confirm(factory: sessionmaker[Session], settings: Settings, member: Membership) -> UUID:
    """Ask for the erasure and use the mailed link; the grace is over at once. Returns its id."""
    with transaction(factory) as session:
        row = own_data.ask_erasure(
            session, settings, factories.actor_of(member), member.id, utc_now()
        )
        mail = session.scalars(
            select(Mail).where(Mail.subject == "Confirm: erase data").order_by(Mail.id.desc())
        ).first()
        assert mail is not None
        token = mail.body.partition("#erase=")[2].split()[0]
        erasure_id = row.id
    with transaction(factory) as session:
        own_data.confirm_erasure(session, settings, token, utc_now())
    return erasure_id


def hasten(factory: sessionmaker[Session], erasure_id: UUID) -> None:
    with transaction(factory) as session:
        job = session.scalars(select(Job).where(Job.subject_id == erasure_id)).one()
        job.available_at = utc_now()


def everything_stored(engine: Engine, settings: Settings) -> bytes:
    """Every value of every row and every file, names included, as one heap of bytes."""
    heap = io.BytesIO()
    with engine.connect() as connection:
        for table in Base.metadata.tables.values():
            for row in connection.execute(sa.select(table)):
                heap.write(repr(tuple(row)).encode())
    if engine.dialect.name == "sqlite":
        # The file itself: free pages may hold what no query finds any more.
        engine.dispose()
        assert isinstance(engine.url.database, str)
        plain = sqlite3.connect(engine.url.database)
        plain.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        plain.close()
        heap.write(Path(engine.url.database).read_bytes())
    for path in sorted(settings.data_dir.rglob("*")):
        heap.write(path.name.encode())
        if path.is_file():
            heap.write(path.read_bytes())
    return heap.getvalue()


def traces(heap: bytes) -> list[str]:
    marks = {
        "name": NAME.encode(),
        "a part of the name": b"Ombersley",
        "first name": b"Quintessa",
        "mail": EMAIL.encode(),
        "film": FILM[:28],
        "note": b"knee hurts",
        "answer": b"left arm long",
        "file name": b"quintessa.mp4",
    }
    return [what for what, mark in marks.items() if mark in heap]


def run_all(runner: Runner) -> None:
    while runner.run_next():
        pass


# ---------------------------------------------------------------- erasing


def test_nothing_of_the_person_is_left_anywhere(
    engine: Engine,
    settings: Settings,
    factory: sessionmaker[Session],
    runner: Runner,
    student: Membership,
) -> None:
    run_all(runner)  # the copy is made, and holds all of it once more
    assert len(traces(everything_stored(engine, settings))) == 8, "the test sees what it looks for"
    hasten(factory, confirm(factory, settings, student))
    run_all(runner)
    assert traces(everything_stored(engine, settings)) == []
    with transaction(factory) as session:
        place = session.get_one(Membership, student.id)
        assert place.deactivated_at is not None
        assert place.person.name == "Erased person"
        assert session.scalars(select(Person).where(Person.email == EMAIL)).all() == []
        for gone in (Submission, Answer, Club, DataExport):
            assert session.scalars(select(gone)).all() == [], gone
        kept = session.scalars(select(ConsentRecord)).one()
        assert (kept.student_id, kept.source) == (student.id, "")
        acts = session.execute(
            sa.text("SELECT actor_id, after FROM audit_events WHERE act = 'person.erased'")
        ).all()
        assert len(acts) == 1
        assert acts[0].actor_id is None


def test_before_the_grace_is_over_it_is_hidden_and_can_be_called_back(
    settings: Settings,
    factory: sessionmaker[Session],
    runner: Runner,
    student: Membership,
) -> None:
    confirm(factory, settings, student)
    run_all(runner)
    with transaction(factory) as session:
        actor = factories.actor_of(student)
        assert len(session.scalars(select(Submission)).all()) == 3
        states = set(session.scalars(select(Submission.state)))
        assert states == {"answered", "withdrawn"}
        own_data.call_back(session, actor, student.id, utc_now())
    with transaction(factory) as session:
        erasure = session.scalars(select(Erasure)).one()
        hastened = session.scalars(select(Job).where(Job.subject_id == erasure.id)).one()
        hastened.available_at = utc_now()
    run_all(runner)
    with transaction(factory) as session:
        assert session.get_one(Membership, student.id).person.name == NAME
        assert len(session.scalars(select(Submission)).all()) == 3


def test_whoever_is_killed_between_files_and_rows_is_begun_again(
    engine: Engine,
    settings: Settings,
    factory: sessionmaker[Session],
    storage: Storage,
    runner: Runner,
    student: Membership,
) -> None:
    erasure_id = confirm(factory, settings, student)
    hasten(factory, erasure_id)
    killed = ErasePerson(settings, factory, storage)
    killed.work(
        erasure_id, held(factory, erasure_id)
    )  # the files are gone, and the process with it
    left = traces(everything_stored(engine, settings))
    assert "film" not in left
    assert "name" in left
    run_all(runner)
    assert traces(everything_stored(engine, settings)) == []
    again = ErasePerson(settings, factory, storage).work(erasure_id, held(factory, erasure_id))
    with transaction(factory) as session:
        again(session)  # done before: nothing happens
    assert traces(everything_stored(engine, settings)) == []


def held(factory: sessionmaker[Session], erasure_id: UUID) -> Holding:
    """A job in hand that nobody takes away."""
    claim = Claim(erasure_id, TaskName.ERASE_PERSON, erasure_id, fence=1, attempts=1)
    return Holding(claim, factory, threading.Event())


def test_places_at_other_academies_keep_the_account_and_nothing_else(
    engine: Engine,
    settings: Settings,
    factory: sessionmaker[Session],
    storage: Storage,
    runner: Runner,
    student: Membership,
) -> None:
    with factory() as session:
        elsewhere = factories.make_member(
            session, person=session.get_one(Person, student.person_id)
        )
        theirs = measured.make_measured(session, storage, elsewhere, note="Elsewhere.")
        bystander = factories.make_member(
            session, academy=session.get_one(Membership, student.id).academy
        )
        others = measured.make_measured(session, storage, bystander, note="Not mine.")
        session.commit()
    hasten(factory, confirm(factory, settings, student))
    run_all(runner)
    left = traces(everything_stored(engine, settings))
    assert set(left) == {"name", "a part of the name", "first name", "mail"}
    with transaction(factory) as session:
        assert session.get_one(Membership, elsewhere.id).person.name == NAME
        assert {one.id for one in session.scalars(select(Submission))} == {theirs.id, others.id}
        assert session.get_one(Membership, student.id).person.name == "Erased person"
        assert len(session.scalars(select(Club)).all()) == 1, (
            "the bag is the person's, wherever they play"
        )
        for submission in (theirs, others):
            assert storage.exists(original_key(submission.clips[0].id))


def test_a_guardian_goes_once_no_clip_rests_on_them_and_the_child_stays(
    engine: Engine, settings: Settings, factory: sessionmaker[Session], runner: Runner
) -> None:
    with factory() as session:
        child = factories.make_child(session, factories.make_academy(session))
        person = factories.make_person(session, name=NAME, email=EMAIL)
        guardian = factories.make_member(
            session, Role.GUARDIAN, academy=child.academy, person=person
        )
        factories.make_guardian(session, child, guardian=guardian)
        session.commit()
    actor = factories.actor_of(guardian)
    with transaction(factory) as session, pytest.raises(Conflict) as refused:
        own_data.ask_erasure(session, settings, actor, guardian.id, utc_now())
    assert refused.value.code == "still_guardian"
    with transaction(factory) as session:
        consents.withdraw(session, actor, child.id, base_url="", now=utc_now())
    hasten(factory, confirm(factory, settings, guardian))
    run_all(runner)
    assert traces(everything_stored(engine, settings)) == []
    with transaction(factory) as session:
        assert session.get_one(Membership, child.id).deactivated_at is None
        assert standing_of(session, child.id, utc_now()).consent is Consent.GUARDIAN_MISSING


def test_every_reference_to_people_is_somebodys(engine: Engine) -> None:
    """A new table that points to people says here what a copy and an erasure do with its rows."""
    del engine
    named = references_to("memberships") + references_to("people")
    assert sorted(named) == sorted(THEIRS | OF_THE_PERSON | KEPT)


OPINION, BLIND = "A colleague's opinion of the elbow.", "Read blindly, the elbow bends."


def read_beside(factory: sessionmaker[Session], student: Membership) -> None:
    """A second opinion and a blind read of the answered clip, each with a reading of its own."""
    with transaction(factory) as session:
        main = session.scalars(
            select(Review)
            .join(Submission)
            .where(Submission.student_id == student.id, Review.state == "answered")
        ).one()
        coach = factories.make_member(session, Role.COACH, academy=main.submission.student.academy)
        given = {"state": "answered", "read_of_id": main.id, "claimed_by": coach.id}
        asked = {"kind": "second", "asked_by": main.claimed_by, "question": "Is it the elbow?"}
        for words, kind in ((OPINION, asked), (BLIND, {"kind": "blind"})):
            beside = factories.make_review(
                session, main.submission, committed={"text": words}, **given, **kind
            )
            machine = session.scalars(select(Reading).where(Reading.source == "machine")).first()
            assert machine is not None
            values = {
                column.name: getattr(machine, column.name)
                for column in Reading.__table__.columns
                if column.name not in {"id", "created_at"}
            }
            values |= {"source": "coach", "review_id": beside.id, "supersedes_id": machine.id}
            values |= dict.fromkeys(("value", "sigma", "low", "high", "unit", "band"))
            session.add(Reading(**values | {"made_by": coach.id, "missing": words}))
            record(session, "review.committed", "review", beside.id, academy_id=main.academy_id)
        for act in ("opinion_asked", "opinion_given", "looked_into"):
            record(session, f"review.{act}", "review", main.id, academy_id=main.academy_id)


def test_what_is_read_beside_an_answer_is_in_no_copy_and_is_erased(
    settings: Settings,
    engine: Engine,
    factory: sessionmaker[Session],
    runner: Runner,
    student: Membership,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    read_beside(factory, student)
    with factory() as session:
        copy = json.dumps(data_of(session, student.id))
    assert WORDS in copy
    for secret in (
        OPINION,
        BLIND,
        "Is it the elbow?",
        '"second"',
        '"blind"',
        "opinion",
        "looked_into",
    ):
        assert secret not in copy, secret
    # One row at a time: also what refers to a row of its own table goes before that row.
    monkeypatch.setattr(rows_of, "_IDS_AT_ONCE", 1)
    hasten(factory, confirm(factory, settings, student))
    run_all(runner)
    with factory() as session:
        assert session.scalars(select(Review)).all() == []
    heap = everything_stored(engine, settings)
    assert (OPINION.encode() in heap, BLIND.encode() in heap, traces(heap)) == (False, False, [])


# ---------------------------------------------------------------- copies


def test_a_copy_holds_all_of_it_and_nothing_of_others(
    settings: Settings,
    factory: sessionmaker[Session],
    storage: Storage,
    runner: Runner,
    student: Membership,
) -> None:
    with factory() as session:
        academy = session.get_one(Membership, student.id).academy
        bystander = factories.make_member(session, academy=academy)
        measured.make_measured(session, storage, bystander, note="Nobody else's business.")
        session.commit()
    run_all(runner)
    with transaction(factory) as session:
        copy = session.scalars(select(DataExport)).one()
        assert copy.state == "ready"
        assert copy.bytes == storage.size(export_key(copy.id))
        assert copy.expires_at is not None
        assert copy.ready_at is not None
        assert copy.expires_at - copy.ready_at == settings.export_lasts
    with storage.open(export_key(copy.id)) as file, zipfile.ZipFile(file) as whole:
        assert whole.testzip() is None
        names = whole.namelist()
        films = [name for name in names if name.startswith("clips/") and name.endswith("/film.mp4")]
        assert FILM in [whole.read(name) for name in films]
        assert any(name.startswith("answers/") for name in names)
        assert "README.txt" in names
        text = whole.read("data.json").decode()
    data = json.loads(text)
    assert data["person"]["email"] == EMAIL
    assert [one["text"] for one in data["tables"]["answers"]] == [WORDS]
    assert {one["note"] for one in data["tables"]["submissions"]} == {NOTE}
    assert data["consents"][0]["decision"] == "given"
    (chosen,) = data["tables"]["notice_choices"]
    assert (chosen["mail_off"], chosen["quiet_from"], chosen["quiet_to"]) == (
        ["replied"],
        "22:00",
        "07:00",
    )
    assert {"person.changed", "review.sent"} & {one["act"] for one in data["acts"]}
    assert "Nobody else's business." not in text
    for secret in ("token_sha256", "csrf_token", "draft_text"):
        assert secret not in text
    assert TaskName.EXPORT_DATA in runner.tasks
