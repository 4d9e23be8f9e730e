"""Carry out a mail that asks to unsubscribe: ``python -m api.unsubscribe < MAIL``, or with the token itself.

For the mailbox of ``FAIRLEAD_UNSUBSCRIBE_MAILBOX``: a mail server hands each mail that it takes to this program.
"""

import argparse
import re
import sys
from email.parser import BytesParser
from email.policy import default

from api.db.session import make_engine, make_session_factory, transaction
from api.domain.errors import FairleadError
from api.services.notices import switch
from api.settings import Settings

_ASKED = re.compile(r"\bunsubscribe\s+([A-Za-z0-9_-]{1,200})\s*$")
_MOST_BYTES = 1024 * 1024


def main(arguments: list[str] | None = None) -> int:
    """Run the command; 0 when these mails come no more, 1 when nothing in the mail says which."""
    parser = argparse.ArgumentParser(prog="python -m api.unsubscribe", description=__doc__)
    parser.add_argument("token", nargs="?", help="left out: read from the subject of a mail")
    chosen = parser.parse_args(arguments)
    token = chosen.token or _token_of(sys.stdin.buffer.read(_MOST_BYTES))
    if token is None:
        sys.stderr.write("The subject of this mail is not: unsubscribe, and a token.\n")
        return 1
    settings = Settings()
    engine = make_engine(settings.effective_database_url)
    try:
        with transaction(make_session_factory(engine)) as session:
            switch(session, settings.secret.get_secret_value().encode(), token, off=True)
    except FairleadError as refused:
        sys.stderr.write(f"{refused}\n")
        return 1
    finally:
        engine.dispose()
    sys.stdout.write("These mails come no more.\n")
    return 0


def _token_of(mail: bytes) -> str | None:
    """The token in the subject; mail programs put "Re:" and the like before it."""
    subject = BytesParser(policy=default).parsebytes(mail, headersonly=True)["Subject"]
    found = _ASKED.search(str(subject or ""))
    return found[1] if found else None


if __name__ == "__main__":
    raise SystemExit(main())
