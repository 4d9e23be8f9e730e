"""Fill the demo: ``python -m api.demo [--json]``, beside a running API, worker and sweeper.

Sends real clips by the real steps and waits while the real workers measure them. A second start
finds everything in place and only makes new sign-in links.
"""

import argparse
import json
import sys
import time
from uuid import UUID

from sqlalchemy import func, select

from api.db.base import utc_now
from api.db.models import Clip, Submission
from api.db.outbox import announce_commits, make_sender
from api.db.session import make_engine, make_session_factory, transaction
from api.demo.coaching import act_out
from api.demo.people import PEOPLE, SHOWN, make_people, new_sign_in_link
from api.demo.scenes import SCENES, Ending
from api.demo.sending import House, send_scene
from api.domain.states import ClipState, SubmissionState
from api.settings import Settings
from api.storage.factory import open_storage
from api.storage.uploads import UploadShelf

MEASURED_WITHIN_S = 600.0
_LOOK_EVERY_S = 0.5
_WAITED_FOR = frozenset(
    {Ending.ANSWERED, Ending.DRAFTED, Ending.FILM_AGAIN, Ending.WAITING, Ending.UNREADABLE}
)


class NotMeasured(Exception):
    """The workers did not get through in time."""


def main(arguments: list[str] | None = None) -> int:
    """Fill the demo and print the links; 1 when the clips were not measured in time."""
    parser = argparse.ArgumentParser(prog="python -m api.demo", description=__doc__)
    parser.add_argument("--json", action="store_true", help="one JSON object a line, for programs")
    as_json = parser.parse_args(arguments).json
    settings = Settings()
    engine = make_engine(settings.effective_database_url)
    factory = make_session_factory(engine)
    announce_commits(factory, make_sender(settings.broker_url))
    house = House(factory, UploadShelf(settings.uploads_dir, open_storage(settings)), settings)
    try:
        _fill(house)
    except NotMeasured as slow:
        sys.stderr.write(f"{slow}\n")
        return 1
    else:
        _print_links(house, as_json=as_json)
        return 0
    finally:
        engine.dispose()


def _fill(house: House) -> None:
    with transaction(house.factory) as session:
        make_people(session)
    first = [scene for scene in SCENES if scene.ending is not Ending.BEING_MEASURED]
    sent = [(scene, send_scene(house, scene)) for scene in first]
    deadline = time.monotonic() + MEASURED_WITHIN_S
    for scene, submission_id in sent:
        if scene.ending in _WAITED_FOR:
            _wait_until_measured(house, submission_id, deadline)
            act_out(house, scene, submission_id)
    for scene in SCENES:
        if scene.ending is Ending.BEING_MEASURED:
            send_scene(house, scene)


def _wait_until_measured(house: House, submission_id: UUID, deadline: float) -> None:
    told = -1
    while (left := _still_to_measure(house, submission_id)) > 0:
        if time.monotonic() > deadline:
            raise NotMeasured(
                f"{left} clips were not measured within {MEASURED_WITHIN_S:.0f} seconds. "
                "The log of worker-1 says why."
            )
        if left != told:
            sys.stderr.write(f"Measuring the clips of the demo: {left} to go ...\n")
            told = left
        time.sleep(_LOOK_EVERY_S)


def _still_to_measure(house: House, submission_id: UUID) -> int:
    """Clips in the whole demo that wait, as long as this submission is among them."""
    with transaction(house.factory) as session:
        state = session.get_one(Submission, submission_id).state
        if state not in {SubmissionState.RECEIVING, SubmissionState.ANALYSING}:
            return 0
        waiting = select(func.count()).where(Clip.state == ClipState.RECEIVED)
        return max(1, session.scalar(waiting) or 0)


def _print_links(house: House, *, as_json: bool) -> None:
    by_key = {invented.key: invented for invented in PEOPLE}
    for key in SHOWN:
        with transaction(house.factory) as session:
            link = new_sign_in_link(session, key, house.settings.base_url, utc_now())
        who = by_key[key]
        line = (
            json.dumps({"role": who.role.value, "name": who.name, "link": link})
            if as_json
            else f"{who.role.value.capitalize():<8} {who.name:<15} {link}"
        )
        sys.stdout.write(f"{line}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    raise SystemExit(main())
