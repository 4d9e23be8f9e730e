"""The demo's outbox: every mail in the open, so that a visitor can follow its link."""

from fastapi import APIRouter

from api.db.mails import foot_of_mail, latest_mails
from api.domain.errors import NotFound
from api.http.deps import AppSettings, DbSession
from api.http.problems import problems
from api.http.schemas.mails import MailRead

router = APIRouter(tags=["demo"])

_SHOWN = 100


@router.get("/outbox-mails", responses=problems(404))
def list_mails(session: DbSession, settings: AppSettings) -> list[MailRead]:
    """The newest mails, for anybody: only in the demo, elsewhere there is nothing here."""
    if not settings.demo_outbox:
        raise NotFound("There is nothing at this address.")
    secret = settings.secret.get_secret_value().encode()
    return [
        MailRead.of(mail, foot_of_mail(mail, settings.base_url, secret))
        for mail in latest_mails(session, _SHOWN)
    ]
