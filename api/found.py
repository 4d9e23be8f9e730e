"""Found an academy from the command line: ``python -m api.found NAME --admin-email ADDRESS ...``.

Prints the invitation of its first admin, because on a new installation no mail may leave yet.
"""

import argparse
import sys

from api.db.base import utc_now
from api.db.session import make_engine, make_session_factory, transaction
from api.domain.errors import FairleadError
from api.domain.languages import DEFAULT_LANGUAGE
from api.services.academies import found_academy
from api.settings import Settings


def main(arguments: list[str] | None = None) -> int:
    """Run the command; 0 when the academy was founded, 1 when a value was refused."""
    parser = argparse.ArgumentParser(prog="python -m api.found", description=__doc__)
    parser.add_argument("name", help="what the academy is called")
    parser.add_argument("--admin-name", required=True)
    parser.add_argument("--admin-email", required=True)
    parser.add_argument("--time-zone", default="UTC", help="for example Europe/Zagreb")
    parser.add_argument(
        "--language", default=DEFAULT_LANGUAGE, help="of its people, for example de-AT or ar-EG"
    )
    chosen = parser.parse_args(arguments)
    settings = Settings()
    engine = make_engine(settings.effective_database_url)
    try:
        with transaction(make_session_factory(engine)) as session:
            founded = found_academy(
                session,
                settings,
                name=chosen.name,
                time_zone=chosen.time_zone,
                language=chosen.language,
                admin_name=chosen.admin_name,
                admin_email=chosen.admin_email,
                now=utc_now(),
            )
    except FairleadError as refused:
        sys.stderr.write(f"{refused}\n")
        return 1
    finally:
        engine.dispose()
    sys.stdout.write(founded.letter.body)
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
